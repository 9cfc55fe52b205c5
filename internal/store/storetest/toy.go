// Package storetest holds what every store must do, whatever its past: made
// now, brought up from an older format, or restored from a backup. The logs in
// it are toys: the store never looks into one.
package storetest

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/atomicfile"
	"traplight/internal/store"
)

// ToyLog is the text of a log that Toy understands: the car, then a line for
// each pass with run_at, launch (s) and trap speed (m/s), then filler.
func ToyLog(car string, filler int, passes ...string) string {
	return strings.Join(append([]string{"car " + car}, append(passes, "end\n")...), "\n") + strings.Repeat("0.125,3.5,7\n", filler)
}

// Toy is an analysis of toy logs.
func Toy(_ context.Context, path, file string, sum atomicfile.Sum) (*store.Analysis, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	a := &store.Analysis{Inputs: "toy " + sum.SHA256}
	lines := bufio.NewScanner(f)
	if !lines.Scan() || !strings.HasPrefix(lines.Text(), "car ") {
		return nil, errors.New(file + ": not a toy log")
	}
	a.Car = strings.TrimPrefix(lines.Text(), "car ")
	for lines.Scan() && lines.Text() != "end" {
		w := strings.Fields(lines.Text())
		if len(w) != 3 {
			return nil, fmt.Errorf("%s: %q", file, lines.Text())
		}
		launch, err1 := strconv.ParseFloat(w[1], 64)
		trap, err2 := strconv.ParseFloat(w[2], 64)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		sd := 0.02
		a.Passes = append(a.Passes, store.PassRow{RunAt: w[0], Launch: &launch, Complete: trap > 0, TrapSpeed: &trap, TrapSpeedSD: &sd, Event: "north", Verdict: "clear"})
	}
	a.Report, err = json.Marshal(map[string]any{"car": a.Car, "sha256": sum.SHA256, "passes": len(a.Passes)})
	return a, err
}

// Write writes a file into a new folder.
func Write(t testing.TB, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// AddCar adds a sheet for a car.
func AddCar(t testing.TB, s *store.Store, name string) {
	t.Helper()
	_, _, err := s.AddSheet(t.Context(), store.Sheet{Car: name, File: "car.toml", Body: []byte("name = \"" + name + "\"\n")})
	if err != nil {
		t.Fatal(err)
	}
}

// Sound fails the test unless the store verifies.
func Sound(t testing.TB, s *store.Store) *store.Check {
	t.Helper()
	c, err := s.Verify(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range c.Faults {
		t.Errorf("verify: %s", f.What)
	}
	return c
}
