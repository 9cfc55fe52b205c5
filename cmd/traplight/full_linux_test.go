package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// TestFullDevice: a help that cannot be printed is a problem of where it was to go, not a
// command that was not understood.
func TestFullDevice(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"report", "--help"}, {}, {"version"}} {
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Skip(err)
		}
		defer full.Close()
		var said bytes.Buffer
		w := &world{out: full, err: &said, getenv: func(string) string { return "" }}
		if code := run(t.Context(), args, w); code != exitProblem || !strings.Contains(said.String(), "no space left") || strings.Contains(said.String(), "--help") {
			t.Errorf("%v: exit %d, %q", args, code, said.String())
		}
	}
}
