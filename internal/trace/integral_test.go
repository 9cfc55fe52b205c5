package trace

import (
	"math"
	"testing"
)

func TestIntegral(t *testing.T) {
	x := Trace{T: []float64{0, 1, 2, 5, 6}, V: []float64{0, 2, 2, 8, 8}}
	for _, c := range []struct {
		name                string
		from, to, gap       float64
		area, covered, want float64
		ok                  bool
	}{
		{"whole steps", 0, 2, 10, 3, 2, 1.5, true},
		{"cut steps", 0.5, 1.5, 10, 0.75 + 1, 1, 1.75, true},
		{"beyond the samples", -5, 1, 10, 1, 1, 1, true},
		{"a hole left out", 1, 6, 1, 2 + 8, 2, 5, true},
		{"nothing there", 7, 9, 10, 0, 0, 0, false},
		{"inside a hole", 3, 4, 1, 0, 0, 0, false},
	} {
		area, covered := x.Integral(c.from, c.to, c.gap)
		if math.Abs(area-c.area) > 1e-12 || math.Abs(covered-c.covered) > 1e-12 {
			t.Errorf("%s: area %v over %v s, want %v over %v s", c.name, area, covered, c.area, c.covered)
		}
		if m, ok := x.Mean(c.from, c.to, c.gap); ok != c.ok || math.Abs(m-c.want) > 1e-12 {
			t.Errorf("%s: mean %v %v, want %v %v", c.name, m, ok, c.want, c.ok)
		}
	}
}

func TestLongestGap(t *testing.T) {
	for _, c := range []struct {
		name string
		t    []float64 // s
		want float64   // s
	}{
		{"nothing to tell the usual step", []float64{0, 5}, 0.25},
		{"a hundred a second", []float64{0, 0.01, 0.02, 0.03}, 0.25},
		{"five a second", []float64{0, 0.2, 0.4, 0.6}, 0.6},
		{"five a second with a hole", []float64{0, 0.2, 0.4, 1.4}, 1.4},
	} {
		x := Trace{T: c.t, V: make([]float64, len(c.t))}
		if got := x.LongestGap(); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %v s, want %v", c.name, got, c.want)
		}
	}
}
