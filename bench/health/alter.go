package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"traplight/internal/logfile"
)

// altered is what a sensor's, a wire's or a recorder's own fault makes of a column.
type altered struct {
	name string
	// on gives a reading's new value; old is the file's, held the one at the fault's
	// beginning, lo and hi the column's bounds, since the time from the beginning, s.
	on func(old, held, lo, hi, since float64, k int, r *rand.Rand) float64
}

// lateBy is how much later the column comes in the alteration "late", s.
const lateBy = 0.5

// afterLaunch is when an alteration begins, s after the launch.
const afterLaunch = 6.0

// alterations are the ways in which a channel alone goes wrong, in the file's own unit.
var alterations = []altered{
	{"frozen", func(_, held, _, _, _ float64, _ int, _ *rand.Rand) float64 { return held }},
	{"zero", func(_, _, _, _, _ float64, _ int, _ *rand.Rand) float64 { return 0 }},
	{"rail", func(_, _, lo, hi, _ float64, _ int, _ *rand.Rand) float64 { return hi + 0.2*(hi-lo) }},
	{"cut", func(_, _, _, _, _ float64, _ int, _ *rand.Rand) float64 { return math.NaN() }},
	{"offset", func(old, _, lo, hi, _ float64, _ int, _ *rand.Rand) float64 { return old + 0.15*(hi-lo) }},
	{"drift", func(old, _, lo, hi, since float64, _ int, _ *rand.Rand) float64 { return old + 0.03*(hi-lo)*since }},
	{"noise", func(old, _, lo, hi, _ float64, _ int, r *rand.Rand) float64 { return old + 0.1*(hi-lo)*r.NormFloat64() }},
	{"scale", func(old, _, _, _, _ float64, _ int, _ *rand.Rand) float64 { return 1.1 * old }},
	{"spikes", func(old, _, lo, hi, _ float64, k int, _ *rand.Rand) float64 {
		if k%37 == 0 {
			return old + 0.8*(hi-lo)
		}
		return old
	}},
	{"late", nil},
}

// alter gives the log with one column changed from a moment on, s of the run clock;
// late is late all through. A reading that the file holds over several rows is
// altered once.
func alter(log *logfile.Log, col int, a altered, at float64, r *rand.Rand) *logfile.Log {
	out := *log
	out.Columns = slices.Clone(log.Columns)
	c := &out.Columns[col]
	was := c.Values
	now := slices.Clone(was)
	c.Values = now
	t := c.Times
	if t == nil {
		t = log.RowTime
	}
	if a.on == nil {
		k := 0
		for i := range now {
			for k < i && t[k] < t[i]-lateBy {
				k++
			}
			now[i] = math.NaN()
			if t[i]-t[0] >= lateBy {
				now[i] = was[k]
			}
		}
		return &out
	}
	lo, hi, held := math.Inf(1), math.Inf(-1), math.NaN()
	for _, v := range was {
		if !math.IsNaN(v) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	step := printed(was)
	last, new, k := math.NaN(), math.NaN(), 0
	for i, v := range was {
		if t[i] < at || math.IsNaN(v) {
			continue
		}
		if math.IsNaN(held) {
			held = v
		}
		if v != last {
			last, new = v, a.on(v, held, lo, hi, t[i]-at, k, r)
			new = math.Round(new/step) * step
			k++
		}
		now[i] = new
	}
	return &out
}

// printed is the power of ten in which a column is printed, its own unit.
func printed(v []float64) float64 {
	for _, step := range []float64{1, 0.1, 0.01, 1e-3, 1e-4, 1e-5} {
		if !slices.ContainsFunc(v, func(x float64) bool {
			return !math.IsNaN(x) && math.Abs(x/step-math.Round(x/step)) > 1e-3
		}) {
			return step
		}
	}
	return 1e-6
}
