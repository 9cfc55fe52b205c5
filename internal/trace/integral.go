package trace

import "sort"

// Integral is the area under the samples, taken as joined by straight lines, over
// from ≤ T ≤ to (s, run clock): area in the quantity's unit times s, and the time
// covered, s, which is less than to−from where the samples do not reach. Steps longer
// than gap, s, are holes and count for neither.
func (x Trace) Integral(from, to, gap float64) (area, covered float64) {
	i := sort.SearchFloat64s(x.T, from)
	if i > 0 {
		i--
	}
	for ; i+1 < len(x.T) && x.T[i] < to; i++ {
		t0, t1 := x.T[i], x.T[i+1]
		if t1-t0 > gap {
			continue
		}
		a, b := max(t0, from), min(t1, to)
		if b <= a {
			continue
		}
		slope := (x.V[i+1] - x.V[i]) / (t1 - t0)
		mid := x.V[i] + slope*((a+b)/2-t0)
		area += mid * (b - a)
		covered += b - a
	}
	return area, covered
}

// Mean is Integral over its covered time, in the quantity's unit; ok is false
// when nothing is covered.
func (x Trace) Mean(from, to, gap float64) (mean float64, ok bool) {
	area, covered := x.Integral(from, to, gap)
	if covered <= 0 {
		return 0, false
	}
	return area / covered, true
}

// LongestGap is the longest step between samples across which they still count as
// a joined curve, s: three of the trace's usual steps, at least 0.25 s.
func (x Trace) LongestGap() float64 {
	const least = 0.25 // s
	if x.Len() < 3 {
		return least
	}
	return max(least, 3*(x.T[x.Len()-1]-x.T[0])/float64(x.Len()-1))
}
