package fitcar

import (
	"math"
	"slices"
)

// Torque hardly answers to the mixture while it is rich: at lambda 0.95 an engine makes some 2 %
// less than at its best, 0.83, and 0.05 of lambda is worth 1 % at most (Heywood 1988, figure
// 15-3 and section 15.5, from memory).
const (
	richest      = 0.95 // 1, lambda up to which that holds
	leanedLittle = 0.05 // 1, of lambda
	lambdaSettle = 0.4  // s after a shift until the sensors tell; they lag by a third of a second
	leanFor      = 0.2  // 1, of the time after: what is lean for less costs little, and may be a limiter that cuts
)

// MixtureHeld tells that the mixture stayed rich at full throttle, and about as rich after the
// moment from, s from rollout, as before it: what went wrong with the fuel's supply has then cost
// no torque, and costs none when it is mended. False where no sensor tells; from may lie before
// the pass, when nothing stands beside it.
func (o *Observation) MixtureHeld(from float64) bool {
	var before, after []float64
	since := math.NaN() // of full throttle in one gear
	for i := range o.Lambda {
		if !o.Full[i] || o.Gear[i] == 0 || i > 0 && o.Gear[i] != o.Gear[i-1] {
			since = math.NaN()
			continue
		}
		if math.IsNaN(since) {
			since = o.time(i)
		}
		if l := o.Lambda[i]; l > 0 && o.time(i)-since > lambdaSettle && i >= o.Lock {
			if o.time(i) < from {
				before = append(before, l)
			} else {
				after = append(after, l)
			}
		}
	}
	enough := int(1 / o.Step)
	if len(after) < enough {
		return false
	}
	lean := share(after, 1-leanFor)
	return lean < richest && (len(before) < enough || lean < median(before)+leanedLittle)
}

// share is the value under which such a share of x lies; x is sorted.
func share(x []float64, of float64) float64 {
	slices.Sort(x)
	return x[int(of*float64(len(x)-1))]
}
