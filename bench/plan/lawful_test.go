package main

import (
	"math"
	"slices"
	"testing"

	"traplight/internal/demo"
)

// passes are outcomes whose strain has a mean and scatter of its logarithm.
func passes(n int, mean, sd float64) (outs []demo.Outcome) {
	z := make([]float64, n)
	square := 0.0
	for i := range z {
		z[i] = math.Sqrt2 * math.Erfinv((2*float64(i)+1)/float64(n)-1)
		square += z[i] * z[i]
	}
	for i := range z {
		share := math.Exp(mean + sd*z[i]/math.Sqrt(square/float64(n-1)))
		outs = append(outs, demo.Outcome{Complete: true, Strains: []demo.Strain{{Name: "fuel supply", Share: share}, {Name: "boost", Share: 0.5}}})
	}
	return outs
}

// Passes two of their standard deviations under a limit go over it in 2.3 of 100; few passes
// borrow the scatter of the settings run; the chance decides what the oracle may keep.
func TestOver(t *testing.T) {
	many := passes(24, -0.1, 0.05)
	if p := over(many, nil); math.Abs(p-0.02275) > 1e-4 {
		t.Errorf("two standard deviations under the limit: %.5f", p)
	}
	was := map[string]strain{"fuel supply": {sd: 0.05}, "boost": {sd: 0.01}}
	if p := over(passes(3, -0.1, 1e-6), was); math.Abs(p-0.02275) > 1e-4 {
		t.Errorf("three passes with the scatter of others: %.5f", p)
	}
	h := &hunt{scatter: was, accepted: hardChance}
	if !h.broken(many) || h.broken(passes(24, -0.13, 0.05)) {
		t.Error("one pass in a hundred is accepted, two are not")
	}
	if given := []demo.Outcome{{}}; !h.broken(given) {
		t.Error("a pass that was given up holds nothing")
	}
	if a, b := score(0.3), score(0.001); math.Abs(a-0.5244) > 1e-3 || math.Abs(b-3.0902) > 1e-3 {
		t.Errorf("normal scores %.4f and %.4f", a, b)
	}
}

// A gear may slip or fall short as often as the settings run do, and in one pass of ten.
func TestSoft(t *testing.T) {
	pass := func(past, low float64) demo.Outcome {
		return demo.Outcome{Complete: true, PastPeak: []float64{past}, BoostShort: []float64{low}}
	}
	h := &hunt{bench: &bench{set: demo.Settings{Boost: []float64{100e3}}}}
	s := demo.Settings{Boost: []float64{120e3}}
	for range 10 {
		h.ran = append(h.ran, pass(0, 0))
	}
	clear, one, two, low := slices.Clone(h.ran), slices.Clone(h.ran), slices.Clone(h.ran), slices.Clone(h.ran)
	one[0] = pass(0.2, 0)
	two[0], two[1] = pass(0.2, 0), pass(0.2, 0)
	low[0], low[1] = pass(0, 7e3), pass(0, 7e3)
	if h.soft(s, clear, 0) || h.soft(s, one, 0) || !h.soft(s, two, 0) || !h.soft(s, low, 0) {
		t.Error("one pass of ten is accepted, two are not")
	}
	s.Boost[0] = 100e3
	if h.soft(s, low, 0) {
		t.Error("a gear set as it was run was entered too late to come to its boost")
	}
	h.ran = two
	if h.soft(s, two, 0) {
		t.Error("what the settings run do is accepted")
	}
}
