package sim

import (
	"errors"
	"math"

	"traplight/internal/num/ode"
)

// Launch is how a car is set off: engine held at a speed, clutch let in.
type Launch struct {
	Gear    int     // from 1
	Speed   float64 // rad/s, engine at the release
	Head    float64 // 1, at the release
	Release float64 // s in which the clutch is let in, torque rising evenly
	Torque  float64 // 0–1, share of full torque that the throttle gives while the clutch slips; 0 means 1
	Rollout float64 // m, at which the clocks start; 0 means 0.3048
}

// Errors of a launch.
var (
	ErrClutch = errors.New("sim: a launch needs the clutch's capacity, a gear and an engine speed")
	ErrStall  = errors.New("sim: the engine was pulled below its lowest speed before the clutch had closed: more engine speed or a slower release is needed")
	ErrSlips  = errors.New("sim: the clutch never closed: it passes less than the engine makes")
)

// stall is the engine speed below which it dies, rad/s (about 760 rpm).
const stall = 80.0

// Launch runs the clutch's slip from the release to its closing, on p's air, grade
// and grip, and returns the start state of the pass with what the gearbox saw.
// Engine and wheels are apart: the clutch passes its torque, Capacity times how far
// it is let in, to the side that turns slower; where the pass has a GuardSlip the
// driver's foot holds it back beyond that slip of the tyres. ErrClutch, ErrStall or ErrSlips
// where the clutch does not close.
func (r *Runner) Launch(p *Pass, l Launch) (Start, error) {
	c := r.Car
	if c.Clutch.Capacity <= 0 || l.Gear < 1 || l.Gear > len(c.Ratios) || l.Speed <= stall {
		return Start{}, ErrClutch
	}
	q := *p
	q.Start.Gear = l.Gear
	r.p = &q
	r.enter(l.Gear - 1)
	share := l.Torque
	if share <= 0 {
		share = 1
	}
	rollout := l.Rollout
	if rollout <= 0 {
		rollout = 0.3048
	}
	top, spun := 0.0, 0.0
	pass := func(t float64, y []float64) float64 {
		v, in := max(0, y[1]), 1.0
		if l.Release > 0 {
			in = min(1, max(0, t/l.Release))
		}
		slip := (y[2]*r.radius(v) - v) / max(v, slipFloor)
		return c.Clutch.Capacity * in * r.cut(slip) * math.Tanh((y[4]-y[2]*r.c.ratio)/0.5)
	}
	// x, v, wheel speed, head, engine speed, heat
	f := func(t float64, y, d []float64) {
		v, w, h, we := max(0, y[1]), max(0, y[2]), y[3], y[4]
		rad := r.radius(v)
		if q.Ideal.Grip {
			w = v / rad
		}
		pressure := Pressure(q.Air.Pressure, h)
		temp := c.Engine.ChargeTemperature(q.Air.Temperature, h, we)
		engine := share * r.c.scale * c.Engine.Torque(we, c.Engine.Charge(we, pressure, temp, 0))
		if lim := c.RevLimit; lim > 0 && we > lim-LimitBand {
			engine *= max(0, min(1, (lim-we)/LimitBand))
		}
		tc := pass(t, y)
		va := v + q.Air.Headwind
		press := 0.5 * q.Air.Density * va * math.Abs(va)
		held := min(1, v/0.05) // nothing rolls back
		driven := r.c.roll * c.DrivenShare * held
		resist := (press*r.c.dragArea + c.Mass*gravity*q.Grade + r.c.roll*(1-c.DrivenShare)) * held
		hub := c.Efficiency * r.c.ratio * tc
		if q.Ideal.Grip {
			d[1] = (hub/rad - driven - resist) / (r.c.body + c.DrivenInertia/(rad*rad))
			d[2] = d[1] / rad
		} else {
			force, _ := r.tyre(y[0], v, (w*rad-v)/max(v, slipFloor), press, resist)
			d[1] = (force - resist) / r.c.body
			d[2] = (hub - force*rad - driven*rad) / c.DrivenInertia
		}
		d[0] = v
		d[3] = 0
		if !c.Boost.NoCharger && !q.Ideal.Lag {
			m := Flow(we, pressure, temp) * share
			rise := c.Boost.Rise(m, h, we/RefSpeed, 1, 1)
			d[3] = rise - max(0, rise-c.Boost.Gate*(r.c.head-h))
		}
		d[4] = (engine - tc) / c.EngineInertia
		d[5] = tc * (we - w*r.c.ratio)
	}
	evs := []ode.Event{
		{F: func(_ float64, y []float64) float64 { return y[4] - y[2]*r.c.ratio - 0.5 }, Direction: ode.Falling, Stop: true},
		{F: func(_ float64, y []float64) float64 { return y[4] - stall }, Direction: ode.Falling, Stop: true},
		{F: func(_ float64, y []float64) float64 { return y[0] - rollout }, Direction: ode.Rising},
	}
	started := math.NaN()
	sol, err := r.ws.Solve(f, ode.Span{To: 6}, []float64{0, 0, 0, l.Head, l.Speed, 0}, ode.Config{
		Step: ode.PI{Rel: 1e-5, Abs: []float64{1e-4, 1e-4, 1e-3, 1e-5, 1e-2, 1}}, Events: evs, First: 1e-4, Longest: 0.02,
		Each: func(s *ode.Step) {
			top = max(top, pass(s.T1, s.Y1))
			if v := max(0, s.Y1[1]); c.Tyre.past((s.Y1[2]*r.radius(v)-v)/max(v, slipFloor), v) {
				spun += s.T1 - s.T0
			}
		}})
	if err != nil {
		return Start{}, err
	}
	end := sol.EndY
	if n := len(sol.Hits); sol.Outcome != ode.Stopped || n == 0 || sol.Hits[n-1].Event == 1 {
		if end[4] <= stall+1 {
			return Start{}, ErrStall
		}
		return Start{}, ErrSlips
	}
	for _, h := range sol.Hits {
		if h.Event == 2 {
			started = h.T
		}
	}
	s := Start{X: end[0], V: end[1], Wheel: end[2], Head: end[3], Gear: l.Gear, Bite: Bite{Torque: top, Time: sol.End, Heat: end[5]}, Spun: spun}
	if s.Time = sol.End - started; started != started {
		// the clutch closed before the clocks started
		s.Time = -(rollout - end[0]) / max(end[1], 0.1)
	}
	return s, nil
}
