package ledger

import (
	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// unsprung is the torque, 1 by gear of what the model has, with boost at its target at once: where
// that stands under what the wastegate's spring holds, no gear has run so little boost, and torque
// answers it as in a forecast.
func unsprung(p *sim.Pass, car *sim.Car) []float64 {
	floor := car.Boost.Floor + p.Air.Pressure
	if car.Boost.Floor <= 0 || len(p.Target) == 0 {
		return p.TorqueScale
	}
	mean, _ := fitcar.TorqueAnswer(car)
	scale := make([]float64, len(car.Ratios))
	for g := range scale {
		scale[g] = 1
		if n := len(p.TorqueScale); n > 0 {
			scale[g] = p.TorqueScale[min(g, n-1)]
		}
		if t := p.Target[min(g, len(p.Target)-1)] + p.Air.Pressure; t < floor {
			scale[g] *= 1 + mean*(t/floor-1)
		}
	}
	return scale
}
