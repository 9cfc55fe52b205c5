package logfile

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
)

// fillBlank gives rows without a time the time of the row before.
func fillBlank(stamps []float64, o *times, line func(int) int) []float64 {
	t := slices.Clone(stamps)
	leaveStrays(t)
	first := slices.IndexFunc(t, func(x float64) bool { return x == x })
	for i := range first {
		t[i] = t[first]
	}
	blank := first
	for i := first + 1; i < len(t); i++ {
		if t[i] != t[i] {
			t[i] = t[i-1]
			if blank++; blank == 1 {
				first = i
			}
		}
	}
	if blank > 0 {
		o.notes = append(o.notes, fmt.Sprintf("%d rows have no time, the first in line %d; they are placed between their neighbours", blank, line(first)))
	}
	return t
}

// leaveStrays takes the time from rows, a tenth of all at most, whose stamp lies decades from
// the middle one: a number from elsewhere, in a file that was damaged. A clock runs on in steps
// too small for such a number to change.
func leaveStrays(t []float64) {
	const decades = 1e9 // s
	mid := stats.Median(slices.DeleteFunc(slices.Clone(t), func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }))
	var strays []int
	for i, x := range t {
		if math.Abs(x-mid) > decades {
			strays = append(strays, i)
		}
	}
	if len(strays) <= len(t)/10 {
		for _, i := range strays {
			t[i] = math.NaN()
		}
	}
}

// unwrap undoes the clock's beginning anew at midnight.
func unwrap(t []float64, period float64, o *times, line func(int) int) {
	if period <= 0 {
		return
	}
	add := 0.0
	for i := 1; i < len(t); i++ {
		t[i] += add
		if t[i]-t[i-1] < -period/2 {
			add += period
			t[i] += period
			what := "midnight passes"
			if period < 86400 {
				what = "the clock of minutes and seconds begins anew"
			}
			o.notes = append(o.notes, fmt.Sprintf("line %d: %s; times run on past %.0f s", line(i), what, period))
		}
	}
}

// stampStep is the step in which times are printed, s: the largest power of ten
// (or that times 2 or 5) that divides all of them.
func stampStep(t []float64) float64 {
	sample := t
	if len(sample) > 5000 {
		sample = sample[:5000]
	}
	for _, q := range []float64{1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 5e-4, 2e-4, 1e-4, 1e-5, 1e-6} {
		ok := true
		for _, x := range sample {
			r := (x - sample[0]) / q
			if math.Abs(r-math.Round(r)) > 1e-4+1e-9*math.Abs(x)/q {
				ok = false
				break
			}
		}
		if ok {
			return q
		}
	}
	return 0
}
