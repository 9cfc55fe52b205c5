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
	brakeFrom   = 2.4  // m/s² beyond drag, above which it is braking and not the engine's; common practice, no source
	brakeLook   = 30.0 // s after the line or the lift
	brakeLeast  = 1.0  // s of braking that must be seen
	turning     = 1.03 // 1, mass with the wheels' inertia over mass; common practice, no source
)

// braking is the deceleration, m/s², that the brakes alone made after the line or the lift:
// the median over the braking, less drag and rolling resistance, from the best speed channel
// that is not a driven wheel's. 0 when the log does not show it: motion itself ends before.
func (o *Observation) braking(p *pass.Pass, set *dictionary.Set) float64 {
	if set == nil {
		return 0
	}
	from, ok := passEnd(p)
	if !ok {
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
			if d := (a-b)/brakeWindow - o.resistance((a+b)/2); d > brakeFrom && d < 15 {
				seen = append(seen, d)
			}
		}
		if float64(len(seen))*step >= brakeLeast {
			return stats.Median(seen)
		}
	}
	return 0
}

// resistance is the deceleration, m/s², by drag and rolling resistance at a speed, m/s, in
// still air: what there is without the brakes.
func (o *Observation) resistance(v float64) float64 {
	s := o.Sheet
	mass := s.Mass.Value + o.MassAdd
	drag := o.Air.Density / 2 * (s.DragArea.Value + o.DragAdd) * v * v
	return (drag + s.RollingResist.Value*mass*9.80665) / (mass * turning)
}
