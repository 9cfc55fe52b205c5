package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestCompletion asks the shells themselves what they complete; those that are not on this
// machine are left out.
func TestCompletion(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "seen.csv"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, shell := range []string{"bash", "zsh", "fish"} {
		var out bytes.Buffer
		if code := run(t.Context(), []string{"completion", shell}, &world{out: &out, err: io.Discard, now: time.Now, getenv: os.Getenv}); code != exitOK {
			t.Fatalf("completion %s: %d", shell, code)
		}
		if err := os.WriteFile(filepath.Join(dir, "c."+shell), out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	ask := map[string]string{ // a line to complete is in "$@", as words
		"bash": `source ./c.bash; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _traplight; printf '%s\n' "${COMPREPLY[@]}"`,
		// The shell's own functions are stood in for, so that no terminal is needed.
		"zsh":  `compdef() {}; _files() { print -l ${PREFIX}*(N) }; compadd() { shift; for w; do [[ $w == $PREFIX* ]] && print -r -- $w; done; true }; source ./c.zsh; words=("$@"); CURRENT=$#; PREFIX=$words[-1]; _traplight`,
		"fish": `source ./c.fish; complete -C "$argv" | string split -f1 \t; true`,
	}
	for _, shell := range []string{"bash", "zsh", "fish"} {
		exe, err := exec.LookPath(shell)
		if err != nil {
			t.Logf("no %s on this machine", shell)
			continue
		}
		for line, want := range map[string]string{
			"traplight repo":               "report",
			"traplight report --hi":        "--history",
			"traplight report --units m":   "metric",
			"traplight completion z":       "zsh",
			"traplight report --notes see": "seen.csv",
			"traplight report see":         "seen.csv",
		} {
			words := []string{"-c", ask[shell], line}
			if shell != "fish" {
				words = append([]string{"-c", ask[shell], shell}, strings.Fields(line)...)
			}
			cmd := exec.Command(exe, words...)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "HOME="+dir)
			out, err := cmd.Output()
			if got := strings.TrimSpace(string(out)); err != nil || got != want {
				t.Errorf("%s completes %q as %q (%v), not %q", shell, line, got, err, want)
			}
		}
	}
}
