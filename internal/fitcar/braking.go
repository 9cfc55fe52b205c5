package fitcar

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

const (
	brakeWindow = 1.0  // s, over which a deceleration is taken
	brakeFrom   = 3.2  // m/s², above which it is braking and not drag and engine; common practice, no source
	brakeLook   = 30.0 // s after the line or the lift
	brakeLeast  = 1.0  // s of braking that must be seen
)

// braking is the deceleration, m/s², with which the car was braked after the line or the
// lift: the median over the braking, from the best speed channel that is not a driven
// wheel's. 0 when the log does not show it: motion itself ends before.
func braking(p *pass.Pass, set *dictionary.Set) float64 {
	if set == nil {
		return 0
	}
	from := math.Inf(1)
	if p.Finish != nil {
		from = p.Finish.Value
	}
	if p.Lift != nil {
		from = min(from, *p.Lift)
	}
	if math.IsInf(from, 0) {
		return 0
	}
	for _, q := range []quantity.Name{quantity.GPSSpeed, quantity.VehicleSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedRL, quantity.WheelSpeedFR, quantity.WheelSpeedRR} {
		c := set.First(q)
		if c == nil || c.Trace.Len() < 20 {
			continue
		}
		var seen []float64
		const step = 0.1
		for t := from; t < from+brakeLook; t += step {
			a, oka := c.Trace.At(t)
			b, okb := c.Trace.At(t + brakeWindow)
			if !oka || !okb || math.IsNaN(a) || math.IsNaN(b) || b < 8 {
				continue
			}
			if d := (a - b) / brakeWindow; d > brakeFrom && d < 15 {
				seen = append(seen, d)
			}
		}
		if float64(len(seen))*step >= brakeLeast {
			return stats.Median(seen)
		}
	}
	return 0
}
