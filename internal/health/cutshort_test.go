package health

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
	"traplight/internal/reftest"
)

// A recorder that loses its supply 8 s after the launch: no fault, and what it did not
// see is told first among what was not judged. The whole log says nothing of the kind.
func TestLogThatEndsWithinThePass(t *testing.T) {
	raw, err := os.ReadFile(reftest.Path(t, "logs/a01_marlin.csv"))
	if err != nil {
		t.Fatal(err)
	}
	const launch = 9.74 // s, the log's truth
	var cut bytes.Buffer
	for _, line := range bytes.SplitAfter(raw, []byte("\n")) {
		first, _, _ := bytes.Cut(line, []byte(","))
		if s, err := strconv.ParseFloat(string(first), 64); err == nil && s > launch+8 {
			break
		}
		cut.Write(line)
	}
	sheet, err := car.LoadSheet(reftest.Path(t, "logs/car_marlin.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		data  []byte
		ended bool
	}{{"whole", raw, false}, {"cut", cut.Bytes(), true}} {
		file := filepath.Join(t.TempDir(), c.name+".csv")
		if err := os.WriteFile(file, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		set, err := dictionary.Identify(log, dictionary.Options{MixtureScale: sheet.LambdaScale, Corrections: sheet.Channels})
		if err != nil {
			t.Fatal(err)
		}
		res, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{File: c.name + ".csv"})
		if err != nil || len(res.Passes) != 1 {
			t.Fatalf("%s: %d passes, %v", c.name, len(res.Passes), err)
		}
		got := Screen(Record{Name: c.name, Set: set, Pass: res.Passes[0]}, nil, sheet)
		if len(got.Findings) > 0 {
			t.Errorf("%s: %+v", c.name, got.Findings)
		}
		said := len(got.NotJudged) > 0 && strings.HasPrefix(got.NotJudged[0], "the rest of the pass: the log ends 8.0 s")
		if said != c.ended {
			t.Errorf("%s: not judged %q", c.name, got.NotJudged)
		}
	}
}
