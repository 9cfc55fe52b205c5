package health

import (
	"math"

	"traplight/internal/num/robust"
	"traplight/internal/num/stats"
)

// course is what a series of passes does: nothing, creep, or jump.
type course struct {
	kind   string  // "steady", "drift", "step"
	at     int     // first pass after a step
	size   float64 // of the step, or of the drift from the first pass to the last; unit of the series
	chance float64 // 1, of so much on a steady car, the places of a step counted
}

// LeastCourse is the number of passes from which a drift or a step is looked for.
const LeastCourse = 5

const (
	coursePrior = 4.0  // passes' worth of the prior on the scatter
	courseClip  = 3.0  // standard deviations beyond which a pass counts no more
	courseAlarm = 0.01 // chance below which a course is named, all relations counted
)

// courseOf tells a slow drift from a step and both from neither, in a series whose
// passes scatter by about usual, unit of the series. A line over the pass number is
// held against two levels and one, each by the sum of its squares, those of odd
// passes clipped; the scatter is the series' own, with the prior's say. A step has
// its place for a coefficient more: it costs ln n of the logarithm of the
// likelihood.
func courseOf(x []float64, usual float64) course {
	n := len(x)
	steady := course{kind: "steady", chance: 1}
	if n < LeastCourse || !(usual > 0) {
		return steady
	}
	level := filled(n, stats.Median(x))
	line, slope := lineThrough(x)
	two, at, size := twoLevels(x)

	// The scatter, from whichever fits best, so that a drift is none.
	least := math.Inf(1)
	for _, fit := range [][]float64{level, line, two} {
		var off []float64
		for i, v := range x {
			off = append(off, v-fit[i])
		}
		least = min(least, stats.MADToSD*stats.MAD(off))
	}
	k := float64(n)
	limit := sq(courseClip) * (coursePrior*sq(usual) + k*sq(least)) / (coursePrior + k)
	squares := func(fit []float64) float64 {
		s := coursePrior * sq(usual)
		for i, v := range x {
			s += min(sq(v-fit[i]), limit)
		}
		return s
	}
	s0, s1, s2 := squares(level), squares(line), squares(two)
	df := coursePrior + k - 2
	// Either of two courses is looked for, the step at some k/2 places apart.
	chance := func(s, places float64) float64 {
		return min(1, 2*places*stats.TwoSided(math.Sqrt(max(0, s0-s)/s*df), df))
	}
	drift := course{kind: "drift", size: slope * (k - 1), chance: chance(s1, 1)}
	step := course{kind: "step", at: at, size: size, chance: chance(s2, k/2)}
	if (coursePrior+k)/2*math.Log(s1/s2) > math.Log(k) {
		return step
	}
	if s1 < s0 {
		return drift
	}
	return steady
}

// lineThrough is a robust line over the place in the series: its values and slope
// by place.
func lineThrough(x []float64) (fit []float64, slope float64) {
	n := len(x)
	fit = filled(n, stats.Median(x))
	design := make([]float64, 0, 2*n)
	for i := range x {
		design = append(design, 1, float64(i))
	}
	r, err := robust.Regress(design, x, 2, robust.Config{})
	if err != nil {
		return fit, 0
	}
	for i := range fit {
		fit[i] = r.Coef[0] + r.Coef[1]*float64(i)
	}
	return fit, r.Coef[1]
}

// twoLevels are the two levels, with two passes or more each, that leave the
// smallest sum of absolute departures: medians, so that one odd pass makes none.
func twoLevels(x []float64) (fit []float64, at int, size float64) {
	n := len(x)
	best := math.Inf(1)
	for k := 2; k <= n-2; k++ {
		a, b, s := stats.Median(x[:k]), stats.Median(x[k:]), 0.0
		for i, v := range x {
			if i < k {
				s += math.Abs(v - a)
			} else {
				s += math.Abs(v - b)
			}
		}
		if s < best {
			best, at, size = s, k, b-a
		}
	}
	fit = make([]float64, n)
	for i := range fit {
		if i < at {
			fit[i] = stats.Median(x[:at])
		} else {
			fit[i] = stats.Median(x[at:])
		}
	}
	return fit, at, size
}
