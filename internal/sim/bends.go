package sim

import (
	"math"

	"traplight/internal/num/ode"
)

// The places where the car's slopes bend, by place in Runner.bent. Each is a function
// of the state that is zero there.
const (
	bendGate    = iota // the wastegate begins to open
	bendNear           // boost comes near its target: the overshoot begins to die
	bendThere          // boost is at its target: the overshoot dies at its full rate
	bendOpening        // nitrous is about to shut
	bendOpen           // nitrous is open for good
	bendLimiter        // the limiter begins to cut
	bendRamp           // the target begins to rise with engine speed
	bendRampEnd        // the target has risen
	bendSlip           // electronics begin to cut on slip
	bendGuard          // the driver holds back on slip
	bendGrip           // an entry of the grip profile
	bendNose           // the driven axle carries all of the car
	bendCount
)

// bends tells the solver where the slopes bend. The solver asks where it has just had
// the slopes, so what slopes noted there is taken when the state is the same.
// Passes by the thousand do without: the steps that it costs bring less there.
func (r *Runner) bends() ode.Bends {
	r.noting = r.rel() < Rough
	if !r.noting {
		return ode.Bends{}
	}
	return ode.Bends{N: bendCount, F: func(t float64, y, g []float64) {
		if *(*[states]float64)(y[:states]) != r.bentAt {
			var d [accEnd]float64
			r.slopes(t, y, d[:states])
		}
		copy(g, r.bent[:])
	}}
}

// noteBends keeps what bends asks for, at a state with engine speed, rad/s, manifold
// pressure, Pa absolute, target head, 1, slip, 1, and the wastegate's and the nose's
// functions.
func (r *Runner) noteBends(y []float64, speed, pressure, target, slip float64) {
	c, p, k, b := r.Car, r.p, &r.c, &r.bent
	r.bentAt = *(*[states]float64)(y[:states])
	b[bendNear], b[bendThere] = 1, 1
	if c.Boost.OverTime > 0 && y[5] != 0 {
		b[bendNear], b[bendThere] = y[3]-target+settleBand, y[3]-target
	}
	b[bendOpening], b[bendOpen] = 1, 1
	if k.nitrous {
		under := k.target - c.Nitrous.Below - pressure
		b[bendOpening], b[bendOpen] = under, under-openBand
	}
	b[bendLimiter] = 1
	if l := c.RevLimit; l > 0 {
		b[bendLimiter] = speed - l + LimitBand
	}
	b[bendRamp], b[bendRampEnd] = 1, 1
	if k.slope != 0 {
		b[bendRamp], b[bendRampEnd] = speed-k.from, speed-k.from-k.span
	}
	b[bendSlip], b[bendGuard] = 1, 1
	if c.SlipCut > 0 {
		b[bendSlip] = slip - c.SlipCut
	}
	if p.GuardSlip > 0 {
		b[bendGuard] = slip - p.GuardSlip
	}
	b[bendGrip] = 1
	if t := &c.Tyre; t.Profile != nil && !p.Ideal.Grip {
		b[bendGrip] = math.Sin(math.Pi * y[0] / t.Step)
	}
}
