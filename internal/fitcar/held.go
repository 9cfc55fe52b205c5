package fitcar

import (
	"math"
	"slices"
)

// LowestHeld is the lowest boost, Pa gauge, that the boost control is known to have held:
// how much less the wastegate's spring would let through, no pass of the record shows. Where
// no manifold pressure was logged the targets stand for it; +Inf when nothing is known.
func (m *Model) LowestHeld() float64 {
	low := math.Inf(1)
	for i := range m.Passes {
		if m.Passes[i].Weight > 0.5 {
			low = min(low, m.Passes[i].Obs.lowestHeld())
		}
	}
	return low
}

// lowestHeld is the same of one pass: the median boost of a gear's later half, where nine
// tenths of it lie near the gear's target.
func (o *Observation) lowestHeld() float64 {
	low := math.Inf(1)
	for g, target := range o.Target {
		if target <= 0 {
			continue
		}
		if o.Boost == nil {
			low = min(low, target)
			continue
		}
		var b []float64
		for i := o.Lock; i < len(o.Gear); i++ {
			if o.Gear[i] == g+1 && o.Full[i] && !math.IsNaN(o.Boost[i]) {
				b = append(b, o.Boost[i]-o.Air.Pressure)
			}
		}
		if len(b) < 40 {
			continue
		}
		late := slices.Clone(b[len(b)/2:])
		slices.Sort(late)
		if n := len(late); late[n/10] > 0.85*target && late[n-1-n/10] < 1.15*target+6e3 {
			low = min(low, median(late))
		}
	}
	return low
}
