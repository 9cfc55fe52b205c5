package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// phase of a sample for the air path.
type phase uint8

const (
	inGear phase = iota
	inShift
	partThrottle
	settling // after a shift: full throttle, but the plenum is still filling
)

// phases marks the samples from the lock on.
func (w *work) phases() []phase {
	ph := make([]phase, len(w.X))
	for i := range ph {
		if i < len(w.Full) && !w.Full[i] {
			ph[i] = partThrottle
		}
	}
	for _, s := range w.Shifts {
		for i := w.at(s.Start); i <= w.at(s.End+0.14) && i < len(ph); i++ {
			ph[i] = settling
		}
		for i := w.at(s.Start); i < w.at(s.End); i++ {
			ph[i] = inShift
		}
	}
	return ph
}

// gearAt is the gear for the boost target at each sample: the coming one within
// shifts.
func (w *work) gearAt() []int {
	g := slices.Clone(w.Gear)
	for i := len(g) - 2; i >= 0; i-- {
		if g[i] == 0 {
			g[i] = g[i+1]
		}
	}
	for i := 1; i < len(g); i++ {
		if g[i] == 0 {
			g[i] = g[i-1]
		}
	}
	return g
}

// runHead integrates the rotor's balance along the measured engine speed from
// head h0 at the lock and writes it to out. Nitrous, where it is open, feeds the
// turbine by power, W.
func (w *work) runHead(c *sim.Car, ph []phase, gear []int, h0 float64, out []float64) {
	const sub = 2
	dt := w.Step / sub
	next := 0 // the coming or present shift
	b := &c.Boost
	h, z, over, in := h0, 0.0, 0.0, -1
	known, tgt, ht := -1, 0.0, 0.0
	for i := w.Lock; i < len(w.X); i++ {
		out[i] = h
		n := w.Engine[i]
		if math.IsNaN(n) {
			if i > 0 && !math.IsNaN(w.V[i]) && gear[i] > 0 {
				n = w.V[i] / w.radius * w.ratios[min(gear[i], len(w.ratios))-1]
			} else {
				continue
			}
		}
		if known != gear[i] {
			known, tgt = gear[i], w.target(b, gear[i])
			ht = sim.Head(w.air.Pressure, tgt)
		}
		if in != gear[i] && ph[i] != inShift {
			in = gear[i]
			over = sim.Load(over, b.OverHead(w.air.Pressure, ht), h, ht)
		}
		for k := range sub {
			// whether this substep lies in a shift is told by its middle
			at := w.time(i) + (float64(k)+0.5)*dt
			for next < len(w.Shifts) && at >= w.Shifts[next].End {
				next++
			}
			shifting := next < len(w.Shifts) && at >= w.Shifts[next].Start
			if shifting && b.Lifted {
				h -= b.Decay * h * dt
				z = 0
				continue
			}
			p := sim.Pressure(w.air.Pressure, h)
			heat := 1.0
			if shifting {
				heat = b.ShiftHeat
			}
			if ph[i] == partThrottle && w.head != nil && w.Boost != nil && !math.IsNaN(w.Boost[i]) {
				p = min(p, w.Boost[i])
			}
			temp := c.Engine.ChargeTemperature(w.air.Temperature, h, n) + c.Engine.Core.Felt*w.coreAt(i)
			surplus := 1.0
			if w.open(c, i, p, tgt, gear[i]) && !shifting {
				if ind := c.Engine.Indicated(n, c.Engine.Charge(n, p, temp, c.Engine.Core.Felt*w.coreAt(i))); ind > 0 {
					surplus = 1 + c.Nitrous.Feed/n/ind
				}
			}
			r := b.Rise(sim.Flow(n, p, temp), h, n/sim.RefSpeed, surplus, heat)
			if shifting {
				h += min(0, r) * dt
				continue
			}
			z += (max(0, r-b.Gate*(ht+over-h)) - z) * min(1, b.GateLag*dt)
			over -= over * b.Settling(h-ht) * dt
			h += (r - z) * dt
		}
		h = min(max(h, -0.2), 2)
	}
}

// open tells whether nitrous flows at sample i.
func (w *work) open(c *sim.Car, i int, p, target float64, gear int) bool {
	if !w.Nitrous {
		return false
	}
	if w.Open != nil && !math.IsNaN(w.Open[i]) {
		return w.Open[i] > 0.5
	}
	return c.Nitrous.In(gear, max(1, w.Gear[w.Lock])) && p < target-c.Nitrous.Below
}
