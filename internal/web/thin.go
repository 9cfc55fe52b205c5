package web

import (
	"math"

	"traplight/internal/trace"
)

// thin picks of each of half as many stretches the lowest and the highest sample, and
// the ends: the indexes in order.
func thin(x trace.Trace, points int) []int {
	n := x.Len()
	if n <= points {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	stretches := max(points/2, 1)
	out := make([]int, 0, 2*stretches+2)
	add := func(i int) {
		if len(out) == 0 || out[len(out)-1] < i {
			out = append(out, i)
		}
	}
	add(0)
	for s := range stretches {
		a, b := s*n/stretches, (s+1)*n/stretches
		lo, hi := a, a
		for i := a; i < b; i++ {
			if x.V[i] < x.V[lo] {
				lo = i
			}
			if x.V[i] > x.V[hi] {
				hi = i
			}
		}
		add(min(lo, hi))
		add(max(lo, hi))
	}
	add(n - 1)
	return out
}

func tidy(v float64, digits int) float64 {
	f := math.Pow(10, float64(digits))
	return math.Round(v*f) / f
}

// short keeps five significant digits: more than a screen shows.
func short(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	f := math.Pow(10, 4-math.Floor(math.Log10(math.Abs(v))))
	if math.IsInf(f, 0) {
		return v
	}
	return math.Round(v*f) / f
}
