package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"traplight/internal/app"
	"traplight/internal/web"
)

func TestMain(m *testing.M) {
	testscript.Main(tidy{m}, map[string]func(){"traplight": program})
}

// lightly is the environment's word to the program that a test runs: it works out little about a
// pass to come.
const lightly = "TRAPLIGHT_TESTED_LIGHTLY=yes"

// program is main, or does little where the test asks for little.
func program() {
	if name, value, _ := strings.Cut(lightly, "="); os.Getenv(name) == value {
		start(web.Effort{Members: 3, Draws: 300, Search: 12, Still: true})
	}
	main()
}

// tidy runs the tests and takes away what they shared.
type tidy struct{ *testing.M }

func (t tidy) Run() int {
	code := t.M.Run()
	if day.dir != "" {
		os.RemoveAll(day.dir)
	}
	return code
}

// TestScripts runs the command lines of testdata, in folders of their own.
func TestScripts(t *testing.T) {
	logs, err := filepath.Abs(filepath.Join("..", "..", "bench", "accuracy", "testdata"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			e.Setenv("LOGS", logs)
			e.Setenv("NO_COLOR", "1")
			return nil
		},
		Cmds:          map[string]func(*testscript.TestScript, bool, []string){"shop": shop},
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
	})
}

// day is the files of the demo's day, made once for all tests.
var day struct {
	sync.Once
	dir string
	err error
}

// copyDay puts a copy of the demo's day into a new folder, as demo --save does.
func copyDay(to string) error {
	day.Do(func() {
		if day.dir, day.err = os.MkdirTemp("", "traplight-cmd-"); day.err == nil {
			_, _, day.err = app.Demo(context.Background(), app.DemoRequest{Seed: 1, Save: filepath.Join(day.dir, "shop"), Pass: 1})
		}
	})
	if day.err != nil {
		return day.err
	}
	return os.CopyFS(to, os.DirFS(filepath.Join(day.dir, "shop")))
}

// demoDay is a folder with the demo's day.
func demoDay(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shop")
	if err := copyDay(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// shop is the command by which a script has the demo's day in a new folder; demo --save itself
// has a script of its own.
func shop(ts *testscript.TestScript, not bool, args []string) {
	if not || len(args) != 1 {
		ts.Fatalf("usage: shop FOLDER")
	}
	ts.Check(copyDay(ts.MkAbs(args[0])))
}
