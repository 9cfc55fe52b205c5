package health

import "math"

// What a boost controller with an integral winds up on the way to a target that the
// turbo is slow to reach, boost overshoots by on arrival, and it bleeds off again at
// the controller's own rate. Some passes arrive late, in a gear in which others have
// long been at their target.

const (
	// windUp is the unit of what is wound up, Pa·s, and windMost the most of it: controllers
	// bound what they wind up (set by hand).
	windUp, windMost = 15e3, 1.5
	// windFrom is the largest shortfall, Pa, that counts in full.
	windFrom = 50e3
)

// arrivals gives what is left at each cell, 1, of the arrivals at the target before it,
// each as large as the shortfall before it was long and deep, one column for each time
// of bleeding off, s.
func (f *frame) arrivals(times ...float64) [][]float64 {
	out := make([][]float64, len(times))
	for k := range out {
		out[k] = make([]float64, f.n)
	}
	short, left := 0.0, make([]float64, len(times))
	for i := range f.n {
		for k, t := range times {
			left[k] *= math.Exp(-cell / t)
		}
		switch by := f.target[i] - f.boost[i]; {
		case !f.full[i] || math.IsNaN(by):
		case by > 0.02*f.target[i]:
			short += cell * min(by, windFrom)
		case short > 0:
			for k := range left {
				left[k] += min(short/windUp, windMost)
			}
			short = 0
		}
		for k := range out {
			out[k][i] = left[k]
		}
	}
	return out
}

// onTheWay says that boost is well short of its target and rises fast: where it is just
// then is a matter of where it began, which a throttle lifted at the shift or a late
// launch decides; how fast it rises is watched by itself.
func (f *frame) onTheWay(i int) bool {
	return f.target[i]-f.boost[i] > 30e3 && f.boostRate[i] > 100e3
}

// The overshoot by both times: cars differ in it, and so do the passes of one.
var (
	arrivedFast = term{"arrived, 0.4 s", 3e3, 8e3, 6e3}
	arrivedSlow = term{"arrived, 1.3 s", 3e3, 8e3, 6e3}
)
