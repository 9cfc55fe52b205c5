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
	"strconv"
	"strings"
	"testing"
)

// TestTwoRecorders: one of the simulated logs cut into an engine's log and a satellite
// receiver's on a clock of its own gives one source with the whole log's trap speed.
func TestTwoRecorders(t *testing.T) {
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
	tmp := t.TempDir()
	paths := []string{filepath.Join(tmp, "engine.csv"), filepath.Join(tmp, "satellite.csv")}
	for i, b := range [][]byte{engine.Bytes(), satellite.Bytes()} {
		if err := os.WriteFile(paths[i], b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	whole := filepath.Join(tmp, "whole.csv")
	if err := os.WriteFile(whole, text, 0o600); err != nil {
		t.Fatal(err)
	}
	cars := []string{filepath.Join(dir, "car_marlin.toml")}
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
