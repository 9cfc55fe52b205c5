package mdf

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/reftest"
)

type wantChannel struct {
	Name          string
	Unit          string
	N             int
	Min, Max, Sum float64
	First, Last   []float64
}

type wantFile struct {
	File   string
	Groups []struct {
		Name     string
		Cycles   uint64
		Channels []wantChannel
	}
}

// TestSamples holds five files of a library's tests against a separate small
// decoder: count, unit, extremes, sum, first and last values of every channel
// after conversion.
func TestSamples(t *testing.T) {
	dir := reftest.Path(t, "data", "mdf4-samples")
	data, err := os.ReadFile(filepath.Join(dir, "expected.json"))
	if err != nil {
		t.Skip(err)
	}
	var files []wantFile
	if err := json.Unmarshal(data, &files); err != nil {
		t.Fatal(err)
	}
	channels := 0
	for _, w := range files {
		data, err := os.ReadFile(filepath.Join(dir, w.File))
		if err != nil {
			t.Skip(err)
		}
		f := &file{src: bytes.NewReader(data), size: int64(len(data))}
		hd, err := f.read(64, "HD", 6, 24)
		if err != nil {
			t.Fatal(err)
		}
		groups, err := f.groups(hd.links[0])
		if err != nil {
			t.Fatalf("%s: %v", w.File, err)
		}
		if len(groups) != len(w.Groups) {
			t.Fatalf("%s: %d groups, want %d", w.File, len(groups), len(w.Groups))
		}
		for i, g := range w.Groups {
			if len(groups[i].channels) != len(g.Channels) {
				t.Errorf("%s: group %d has %d channels, want %d", w.File, i, len(groups[i].channels), len(g.Channels))
				continue
			}
			for k, c := range g.Channels {
				compare(t, w.File, groups[i].channels[k], c)
				channels++
			}
		}
	}
	t.Logf("%d channels in %d files", channels, len(files))
}

func compare(t *testing.T, file string, got *channel, want wantChannel) {
	t.Helper()
	if got.name != want.Name || got.unit != want.Unit || len(got.values) != want.N {
		t.Errorf("%s: %q in %q with %d values, want %q in %q with %d (%s)", file, got.name, got.unit, len(got.values), want.Name, want.Unit, want.N, got.skipped)
		return
	}
	low, high, sum, carry := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for _, v := range got.values {
		low, high = math.Min(low, v), math.Max(high, v)
		// The exact sum, near enough (Kahan).
		y := v - carry
		s := sum + y
		carry = (s - sum) - y
		sum = s
	}
	same := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(b) }
	if !same(low, want.Min) || !same(high, want.Max) || !same(sum, want.Sum) {
		t.Errorf("%s: %q runs from %v to %v, sum %v; want %v to %v, %v", file, got.name, low, high, sum, want.Min, want.Max, want.Sum)
	}
	for i, v := range want.First {
		if !same(got.values[i], v) {
			t.Errorf("%s: %q value %d is %v, want %v", file, got.name, i, got.values[i], v)
		}
	}
	for i, v := range want.Last {
		if !same(got.values[want.N-len(want.Last)+i], v) {
			t.Errorf("%s: %q value %d from the end is %v, want %v", file, got.name, i, got.values[want.N-len(want.Last)+i], v)
		}
	}
}
