package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestNamesAsTyped: a name that is not UTF-8 reaches the file that it names.
func TestNamesAsTyped(t *testing.T) {
	name := filepath.Join(t.TempDir(), "l\xff\xe9.csv")
	if err := os.WriteFile(name, []byte("no log\n"), 0o600); err != nil {
		t.Skip(err) // a system with names of letters alone
	}
	var said bytes.Buffer
	w := &world{out: &said, err: &said, getenv: func(string) string { return "" }}
	if code := run(t.Context(), []string{"channels", name}, w); code != exitProblem || strings.Contains(said.String(), "no such file") {
		t.Errorf("exit %d: %s", code, said.String())
	}
}
