package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"traplight": main})
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
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
	})
}
