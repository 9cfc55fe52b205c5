package sim

import "math"

// Lasts is how long, s in all, the tyres must have slipped more than Gear.Lasting for it.
const Lasts = 0.05

// The bins of slipTimes, of ln slip over that of the peak.
const (
	slipBins  = 64
	slipFirst = -1.6 // lower end of the first bin
	slipStep  = 0.05
)

// slipTimes is how long, s, the tyres had which slip, by ln slip over that at which they carry
// most.
type slipTimes [slipBins]float64

// add takes a step of dt, s, in which slip went from a to b, 1, of that of the peak.
func (q *slipTimes) add(a, b, dt float64) {
	if dt <= 0 {
		return
	}
	bin := func(s float64) float64 {
		if !(s > 0) { // not a number either
			return 0
		}
		return max(0, min(slipBins-1e-6, (math.Log(s)-slipFirst)/slipStep))
	}
	lo, hi := bin(a), bin(b)
	if lo > hi {
		lo, hi = hi, lo
	}
	if i := int(lo); i == int(hi) {
		q[i] += dt
		return
	}
	for i := int(lo); i <= int(hi); i++ {
		q[i] += dt * (min(hi, float64(i+1)) - max(lo, float64(i))) / (hi - lo)
	}
}

// lasting is the ln slip over that of the peak which was exceeded for Lasts in all.
func (q *slipTimes) lasting() float64 {
	left := Lasts
	for i := slipBins - 1; i >= 0; i-- {
		if t := q[i]; t >= left {
			return slipFirst + slipStep*(float64(i+1)-left/t)
		}
		left -= q[i]
	}
	return slipFirst
}
