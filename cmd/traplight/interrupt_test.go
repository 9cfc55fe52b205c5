package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// stopper is a terminal at which somebody presses Ctrl-C once a text is shown.
type stopper struct {
	text bytes.Buffer
	at   string
	stop context.CancelFunc
}

func (s *stopper) String() string { return s.text.String() }

func (s *stopper) Write(b []byte) (int, error) {
	n, err := s.text.Write(b)
	if strings.Contains(s.String(), s.at) {
		s.stop()
	}
	return n, err
}

// Ctrl-C in the middle of the work: the exit code of a stopped command, one line, nothing
// printed as if it were a result, and no file, whole or half.
func TestStopped(t *testing.T) {
	dir := demoDay(t)
	car, notes, log := filepath.Join(dir, "car_marl.toml"), filepath.Join(dir, "passes.toml"), filepath.Join(dir, "m01_marl.csv")
	files := t.TempDir()
	said, card, page := filepath.Join(files, "said.jsonl"), filepath.Join(files, "card.pdf"), filepath.Join(files, "page.html")
	common := []string{"--car", car, "--notes", notes}
	for _, c := range []struct {
		at   string // the progress at which it is stopped
		args []string
	}{
		{"m01_marl.csv", []string{"forecast", "--history", log, "--record", said}},
		{"fitting the car", []string{"forecast", "--history", log, "--record", said}},
		{"running passes", []string{"forecast", "--history", log, "--record", said, "--json"}},
		{"fitting the car", []string{"plan", "--history", log, "--card", card}},
		{"trying settings", []string{"plan", "--history", log, "--card", card, "--json"}},
		{"where the speed went", []string{"report", log, "--html", page}},
	} {
		ctx, stop := context.WithCancel(t.Context())
		var out bytes.Buffer
		shown := &stopper{at: c.at, stop: stop}
		w := &world{out: &out, err: shown, now: time.Now, getenv: func(string) string { return "" }, errTerminal: true}
		code := run(ctx, append(c.args, common...), w)
		stop()
		text := shown.String()
		if code != exitStopped || !strings.HasSuffix(text, "\r\x1b[Ktraplight: stopped\n") || out.Len() > 0 {
			t.Errorf("%s, stopped at %q: code %d, printed %q, shown %q", c.args[0], c.at, code, out.String(), text)
		}
		if left, err := os.ReadDir(files); err != nil || len(left) > 0 {
			t.Errorf("%s, stopped at %q, left %v (%v)", c.args[0], c.at, left, err)
		}
	}
}
