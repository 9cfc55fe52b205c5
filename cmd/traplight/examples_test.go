package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// exampleOrder is the order in which the commands' examples are tried: what one leaves, the
// next may need.
var exampleOrder = []string{"demo", "car", "air", "channels", "report", "compare", "setup", "health", "forecast", "plan", "size", "parts",
	"export", "passes", "remove", "verify", "backup", "restore", "serve", "completion", "help"}

// firstAdded are the examples that fill the store, before those that ask for it.
var firstAdded = "add"

// Examples that go on until Ctrl-C, by how they begin, with what shows that they are at work.
var untilStopped = map[string]string{"traplight serve": "Ctrl-C ends it", "traplight demo --serve": "Ctrl-C ends it", "traplight add card --watch": "watching"}

// Examples that end otherwise here, and why.
var elsewhere = map[string]int{
	"traplight serve --listen 192.168.0.10:8080 --guests tick": exitProblem, // no machine of the tests has this address
}

// TestExamples copies every example of every command's help into a shell, in the folder that
// the demo writes, and expects it to work. The scripts look at what forecasts and plans say.
func TestExamples(t *testing.T) {
	if testing.Short() {
		t.Skip("forecasts and plans take seconds")
	}
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no shell on this machine")
	}
	t.Parallel()
	e := newExamples(t, sh)
	examples := map[string][]string{}
	for _, name := range append(slices.Clone(exampleOrder), firstAdded) {
		examples[name] = e.of(name)
	}
	for _, line := range examples["demo"] {
		e.try(line)
	}
	e.dir = filepath.Join(e.dir, "shop")
	for _, name := range append([]string{firstAdded}, exampleOrder[1:]...) {
		for i, line := range examples[name] {
			if name == firstAdded && i == 1 {
				e.prepare() // after the day's logs were added
			}
			e.try(line)
		}
	}
	e.complete(t)
}

type examples struct {
	t        *testing.T
	sh       string
	dir, bin string
	env      []string
}

func newExamples(t *testing.T, sh string) *examples {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	top := t.TempDir()
	e := &examples{t: t, sh: sh, dir: filepath.Join(top, "work"), bin: filepath.Join(top, "bin")}
	home := filepath.Join(top, "home")
	for _, d := range []string{e.dir, e.bin, filepath.Join(home, ".local/share/bash-completion/completions"), filepath.Join(home, ".zfunc"), filepath.Join(home, ".config/fish/completions")} {
		if err := os.MkdirAll(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(self, filepath.Join(e.bin, "traplight")); err != nil { // by this name the test binary is the program
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(e.bin, "xdg-open"), []byte("#!/bin/sh\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	e.env = []string{"PATH=" + e.bin + ":/usr/bin:/bin", "HOME=" + home, "TMPDIR=" + top, "NO_COLOR=1", lightly}
	return e
}

// of are the examples of a command's help, as they stand there.
func (e *examples) of(name string) (lines []string) {
	e.t.Helper()
	var out bytes.Buffer
	w := &world{out: &out, err: &out, now: time.Now, getenv: func(string) string { return "" }}
	if code := run(context.Background(), []string{name, "--help"}, w); code != exitOK {
		e.t.Fatalf("%s --help: %d", name, code)
	}
	for _, l := range strings.Split(out.String(), "\n") {
		if l = strings.TrimSpace(l); strings.HasPrefix(l, "traplight ") {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		e.t.Errorf("%s --help shows no example", name)
	}
	return lines
}

// prepare puts beside the demo's files what else the examples name.
func (e *examples) prepare() {
	e.t.Helper()
	write := func(name string, data []byte) {
		e.t.Helper()
		if err := os.WriteFile(filepath.Join(e.dir, name), data, 0o644); err != nil {
			e.t.Fatal(err)
		}
	}
	read := func(path string) []byte {
		e.t.Helper()
		data, err := os.ReadFile(path)
		if err != nil {
			e.t.Fatal(err)
		}
		return data
	}
	if err := os.MkdirAll(filepath.Join(e.dir, "card"), 0o755); err != nil {
		e.t.Fatal(err)
	}
	log := read(filepath.Join(e.dir, "m05_marl.csv"))
	write("m07_marl.csv", log) // the pass that came after the day's last
	engine, satellite := cutInTwo(e.t, log)
	write("engine.csv", engine)
	write("satellite.csv", satellite)
	write("compressor.csv", read("../../internal/sizing/testdata/map.csv"))
	write("turbine.csv", []byte("expansion ratio,corrected flow [kg/s]\n1.2,0.20\n1.6,0.30\n2.0,0.34\n2.6,0.36\n3.2,0.365\n"))
}

// cutInTwo makes of a log one without and one with the satellite receiver's channels alone.
func cutInTwo(t *testing.T, log []byte) (engine, satellite []byte) {
	t.Helper()
	at := bytes.Index(log, []byte("\"Time of day\""))
	if at < 0 {
		t.Fatal("the invented log has another form than this test knows")
	}
	rows, err := csv.NewReader(bytes.NewReader(log[at:])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var e, s bytes.Buffer
	a, b := csv.NewWriter(&e), csv.NewWriter(&s)
	for _, row := range rows {
		one, two := []string{row[0]}, []string{row[0]}
		for i, c := range row[1:] {
			if strings.HasPrefix(rows[0][i+1], "GPS") || strings.HasPrefix(rows[0][i+1], "Sat") {
				two = append(two, c)
			} else {
				one = append(one, c)
			}
		}
		a.Write(one)
		if slices.ContainsFunc(two[1:], func(c string) bool { return c != "" }) {
			b.Write(two)
		}
	}
	a.Flush()
	b.Flush()
	return e.Bytes(), s.Bytes()
}

// try runs one example as it stands.
func (e *examples) try(line string) {
	e.t.Helper()
	ctx, stop := context.WithTimeout(e.t.Context(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, e.sh, "-c", line)
	for begin := range untilStopped {
		if strings.HasPrefix(line, begin) {
			cmd = exec.CommandContext(ctx, e.sh, "-c", "exec "+line) // so that Ctrl-C meets the program
		}
	}
	cmd.Dir, cmd.Env = e.dir, e.env
	if strings.Contains(line, "--together") {
		cmd.Env = append(slices.Clone(e.env), "TRAPLIGHT_DATA="+filepath.Join(e.bin, "two")) // one pass twice is not the day's store
	}
	shown := &stopper{at: "\x00", stop: func() {}}
	for begin, word := range untilStopped {
		if strings.HasPrefix(line, begin) {
			shown = &stopper{at: word, stop: func() { _ = cmd.Process.Signal(syscall.SIGINT) }}
		}
	}
	cmd.Stdout, cmd.Stderr = shown, shown
	began := time.Now()
	err := cmd.Run()
	code := cmd.ProcessState.ExitCode()
	e.t.Logf("%5.2f s: %s", time.Since(began).Seconds(), line)
	want := elsewhere[line]
	if code != want && !(code == exitStopped && shown.at != "\x00") {
		e.t.Errorf("%s\nends with %d (%v):\n%s", line, code, err, shown.String())
	}
}

// complete holds the list of commands that were tried against the program's own.
func (e *examples) complete(t *testing.T) {
	t.Helper()
	out, err := exec.Command(filepath.Join(e.bin, "traplight"), "--help").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?m)^  ([a-z]+)  +[A-Z]`).FindAllStringSubmatch(string(out), -1) {
		if name := m[1]; name != "version" && name != firstAdded && !slices.Contains(exampleOrder, name) {
			t.Errorf("the examples of %s are not tried", fmt.Sprint(name))
		}
	}
}
