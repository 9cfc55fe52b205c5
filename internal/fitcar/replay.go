package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// replay is the pass as its driver ran it, for the simulator.
func (w *work) replay(c *sim.Car, drv *Driver, scale []float64, grip, head float64) *sim.Pass {
	p := &sim.Pass{Start: w.start(head), Air: w.air, Grade: w.Grade, Length: w.Length, Window: w.Window,
		Target: w.Target, TorqueScale: scale, GripScale: grip, Nitrous: w.Nitrous}
	if p.Start.Wheel*c.Radius < p.Start.V {
		p.Start.Wheel = 0
	}
	n := len(c.Ratios) - 1
	p.ShiftSpeed, p.ShiftTime = make([]float64, n), make([]float64, n)
	for g := 1; g <= n; g++ {
		p.ShiftSpeed[g-1], p.ShiftTime[g-1] = math.Inf(1), drv.Time[min(g-1, len(drv.Time)-1)]
		if k := len(w.ShiftAim); k > 0 {
			p.ShiftSpeed[g-1] = w.ShiftAim[min(g-1, k-1)] + drv.Over
		}
		if s := w.shiftOut(g); s != nil {
			if !math.IsNaN(s.Speed) {
				p.ShiftSpeed[g-1] = s.Speed
			}
			p.ShiftTime[g-1] = s.End - s.Start
		}
	}
	p.GuardSlip = guardSlip(w.Sheet.SlipCut)
	return p
}

// guardSlip is the slip beyond which a driver, or the electronics in his place,
// hold the torque back, 1. Common practice, no source.
func guardSlip(electronics bool) float64 {
	if electronics {
		return 0 // Car.SlipCut does it
	}
	return 0.6
}

// forPass is the car as it was in this pass.
func (w *work) forPass(c *sim.Car) *sim.Car {
	v := *c
	v.Mass, v.DragArea = w.mass, w.drag
	return &v
}

// gearGain is what the motion says of one gear: where it began and ended.
type gearGain struct{ x0, x1, v0, v1 float64 }

// gains are the gears of the pass from its own motion, by gear.
func (w *work) gains(gears int) []*gearGain {
	out := make([]*gearGain, gears)
	for g := 1; g <= gears; g++ {
		a, b := -1, -1
		for i := w.Lock; i < len(w.Gear); i++ {
			if w.Gear[i] == g {
				if a < 0 {
					a = i
				}
				b = i
			}
		}
		if a < 0 || b-a < 12 {
			continue
		}
		out[g-1] = &gearGain{w.X[a], w.X[b], w.V[a], w.V[b]}
	}
	return out
}

const (
	scaleSD  = 0.025 // 1, spread of the torque scale of a gear
	scaleObs = 0.012 // 1, spread of one pass's finding about a gear's scale
)

// calibrate sets the torque scale by gear so that the energy gained in each gear
// comes out on average over the passes.
func calibrate(c *sim.Car, ws []*work, drv *Driver, levels, heads []float64) []float64 {
	n := len(c.Ratios)
	scale := make([]float64, n)
	for i := range scale {
		scale[i] = 1
	}
	meas := make([][]*gearGain, len(ws))
	for k, w := range ws {
		meas[k] = w.gains(n)
	}
	for range 4 {
		num, den := make([]float64, n), make([]float64, n)
		for k, w := range ws {
			r := sim.Runner{Car: w.forPass(c), Watch: true}
			p := w.replay(c, drv, scale, levels[k], heads[k])
			if len(w.X) > 0 {
				p.Length = min(p.Length, w.X[len(w.X)-1])
				p.Window = min(p.Window, 5)
			}
			if p.Length <= p.Start.X+20 {
				continue
			}
			res, err := r.Run(p)
			if err != nil {
				continue
			}
			for _, g := range res.Gears {
				m := meas[k][g.Gear-1]
				if m == nil || g.X1-g.X0 < 2 || m.x1-m.x0 < 2 {
					continue
				}
				body := 0.5 * w.mass
				got := body * (m.v1*m.v1 - m.v0*m.v0) / (m.x1 - m.x0)
				sim := body * (g.V1*g.V1 - g.V0*g.V0) / (g.X1 - g.X0)
				va := (g.V0 + g.V1) / 2
				drive := sim + 0.5*w.air.Density*w.drag*va*va + c.Rolling*w.mass*9.8
				if drive < 200 {
					continue
				}
				rel := (got - sim) / drive
				weight := w.weight * min(1, (m.x1-m.x0)/40)
				if g.PastPeak > 0.1 {
					// where the tyre decides, more torque does not help: not the engine's account
					weight *= 0.1
					rel = max(-0.02, min(0.02, rel))
				}
				num[g.Gear-1] += weight * scale[g.Gear-1] * (1 + max(-0.15, min(0.15, rel)))
				den[g.Gear-1] += weight
			}
		}
		for i := range scale {
			k := den[i] / (scaleObs * scaleObs)
			mean := 1.0
			if den[i] > 0 {
				mean = num[i] / den[i]
			}
			// a gear nobody used takes the mean of the others through the prior
			scale[i] = (k*mean + 1/(scaleSD*scaleSD)) / (k + 1/(scaleSD*scaleSD))
			scale[i] = max(0.9, min(1.1, scale[i]))
		}
	}
	return scale
}
