package app

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/store"
)

// cutInTwo is one of the simulated logs, and the same cut into an engine's log and a
// satellite receiver's on a clock of its own.
func cutInTwo(t *testing.T) (whole, engineLog, satelliteLog []byte) {
	t.Helper()
	dir := filepath.Join("..", "..", "bench", "accuracy", "testdata")
	f, err := os.Open(filepath.Join(dir, "a05_marlin.csv.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	var engine, satellite bytes.Buffer
	var head []string
	for _, line := range strings.Split(string(text), "\n") {
		cells := strings.Split(strings.TrimSuffix(line, "\r"), ",")
		if strings.HasPrefix(line, "Time [s]") {
			head = cells
		} else if head == nil || len(cells) != len(head) {
			continue
		}
		e, s := []string{cells[0]}, []string{}
		for i, c := range cells[1:] {
			if strings.HasPrefix(head[i+1], "GPS") {
				s = append(s, c)
			} else {
				e = append(e, c)
			}
		}
		fmt.Fprintln(&engine, strings.Join(e, ","))
		at := cells[0]
		if v, err := strconv.ParseFloat(at, 64); err == nil {
			if s[0] == "" {
				continue
			}
			at = fmt.Sprintf("%.3f", v+500.123)
		}
		fmt.Fprintln(&satellite, at+","+strings.Join(s, ","))
	}
	return text, engine.Bytes(), satellite.Bytes()
}

// cutFiles writes what cutInTwo gives.
func cutFiles(t *testing.T) (whole string, paths, cars []string) {
	t.Helper()
	text, engine, satellite := cutInTwo(t)
	tmp := t.TempDir()
	whole, paths = filepath.Join(tmp, "whole.csv"), []string{filepath.Join(tmp, "engine.csv"), filepath.Join(tmp, "satellite.csv")}
	for path, b := range map[string][]byte{whole: text, paths[0]: engine, paths[1]: satellite} {
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return whole, paths, []string{filepath.Join("..", "..", "bench", "accuracy", "testdata", "car_marlin.toml")}
}

// TestTwoRecorders: the two halves of a log give one source with the whole log's trap speed.
func TestTwoRecorders(t *testing.T) {
	whole, paths, cars := cutFiles(t)
	want, err := Analyse(context.Background(), ReportRequest{Logs: []string{whole}, Cars: cars})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Analyse(context.Background(), ReportRequest{Logs: paths, Cars: cars})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Sources) != 1 || len(got.Sources[0].Passes) != 1 {
		t.Fatalf("%d sources", len(got.Sources))
	}
	a, b := got.Sources[0].Passes[0].Trap, want.Sources[0].Passes[0].Trap
	if a == nil || math.Abs(a.Value-b.Value) > 0.6*b.SD {
		t.Errorf("trap %v, from the whole log %v", a, b)
	}
	if n := strings.Join(got.Sources[0].Notes, "; "); !strings.Contains(n, "same movement") {
		t.Errorf("notes do not tell the merge: %s", n)
	}
}

// TestStoredTogether: logs of two recorders joined in the store are one pass, by name too.
func TestStoredTogether(t *testing.T) {
	_, paths, cars := cutFiles(t)
	s := openShop(t)
	lines := s.add(t, AddRequest{Paths: append([]string{cars[0]}, paths[1], paths[0]), Together: true})
	if !slices.Contains(lines, "together engine.csv: together with satellite.csv") {
		t.Errorf("told %q", lines)
	}
	list, err := s.Passes(t.Context(), store.Filter{})
	if err != nil || len(list) != 1 || list[0].File != "engine.csv" {
		t.Fatalf("passes %+v, %v", list, err)
	}
	want, err := Report(t.Context(), ReportRequest{Logs: paths, Cars: cars, Without: []string{"ledger"}})
	if err != nil {
		t.Fatal(err)
	}
	if got := *list[0].TrapSpeed; got != *want.Passes[0].Trap.SpeedMps {
		t.Errorf("trap %v, from the files together %v", got, *want.Passes[0].Trap.SpeedMps)
	}
	n, err := Resolve(t.Context(), s.Dir(), "test", []string{"last"}, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	defer n.Close()
	if len(n.Logs) != 2 || filepath.Base(n.Logs[0]) != "engine.csv" || n.Picks[1] != -1 {
		t.Errorf("by name %q, %v", n.Logs, n.Picks)
	}
	// Again, and by either file alone, changes nothing.
	for _, q := range []AddRequest{{Paths: paths, Together: true}, {Paths: paths}} {
		s.add(t, q)
		if again, err := s.Passes(t.Context(), store.Filter{}); err != nil || len(again) != 1 || again[0].Name != list[0].Name {
			t.Errorf("again: %+v, %v", again, err)
		}
	}
	if _, err := s.Add(t.Context(), AddRequest{Paths: paths[1:], Together: true}, func(Added) {}); err == nil {
		t.Error("no log with the engine's speed, and no word of it")
	}
}
