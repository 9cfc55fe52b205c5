package motion

import (
	"math"

	"traplight/internal/num/stats"
)

// median of |x|, which it reorders: the element that would stand in the middle.
func medianAbs(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	for i := range x {
		x[i] = math.Abs(x[i])
	}
	return stats.Select(x, len(x)/2)
}

// median is the middle of x, which stays as it is; work is room of at least its length.
func median(x, work []float64) float64 {
	least := math.Inf(1)
	for _, v := range x {
		least = math.Min(least, v)
	}
	work = work[:len(x)]
	for i, v := range x {
		work[i] = v - least
	}
	return least + medianAbs(work)
}

// middles are medians of |x| that are asked for again and again, of numbers that change
// little: only what lies about the last answer is looked at closely.
type middles struct {
	last [middleKinds]float64
	near []float64 // room to work in
}

const (
	middleReach = 0.06 // 1, share of the last answer about it in which the next is looked for
	middleFew   = 100  // numbers below which it is not worth it
)

// of is the element of |x| that would stand in the middle, as medianAbs has it; x stays.
func (m *middles) of(which middleKind, x []float64) float64 {
	if cap(m.near) <= len(x) {
		m.near = make([]float64, len(x)+1)
	}
	near, last := m.near[:len(x)+1], m.last[which]
	below, upto := 0, 0
	if len(x) >= middleFew && last > 0 {
		lo, hi := last*(1-middleReach), last*(1+middleReach)
		for _, v := range x {
			v = math.Abs(v)
			near[upto-below] = v // stays only if it counts as one more up to hi and none below lo
			if v < lo {
				below++
			}
			if v <= hi {
				upto++
			}
		}
	}
	if k := len(x) / 2; k >= below && k < upto {
		last = stats.Select(near[:upto-below], k-below)
	} else {
		last = medianAbs(near[:copy(near, x)])
	}
	m.last[which] = last
	return last
}
