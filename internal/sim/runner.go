package sim

import (
	"errors"
	"math"

	"traplight/internal/num/ode"
)

// Runner simulates passes of one car and keeps its memory between them. It is
// not for use by several goroutines at once; copy the Car and make one for each.
type Runner struct {
	Car   *Car
	Marks []float64 // m, in order; times and speeds there are reported
	Watch bool      // report what each gear saw
	Books bool      // keep the energy account
	Keep  float64   // s between stored points; 0 stores none
	// Rel is the relative tolerance, 1; zero means Fine.
	Rel float64
	// Solver, if set, integrates in place of package ode's: for checks against others.
	Solver func(f ode.Func, span ode.Span, y0 []float64, cfg ode.Config) (*ode.Solution, error)

	ws     ode.Workspace
	p      *Pass
	gear   int // from 0
	c      consts
	out    rates // filled by slopes when wanted
	want   bool
	meet   Bite               // of the clutch on entering the gear
	noting bool               // whether slopes keeps what the bends are found by
	bent   [bendCount]float64 // as slopes left them
	bentAt [states]float64    // the state there
	peaks  Peaks              // of the car's tyres, where gears are watched
}

// consts is what stays within one gear.
type consts struct {
	ratio, inertia float64 // 1; kg·m² at the driven wheels, engine included
	body           float64 // kg, with undriven wheels
	weight         float64 // N on the driven axle at rest
	target         float64 // Pa absolute
	head           float64 // target as head
	slope, from    float64 // head per rad/s of engine speed beyond from, rad/s; span, rad/s, where it ends
	span           float64
	over           float64 // the control's overshoot as head
	dragArea       float64
	scale, grip    float64
	roll           float64 // N, all of the rolling resistance at rest
	nitrous        bool
	tyre           *table // the tyre's curve
}

// LimitBand is the width below the limiter's speed over which it cuts, rad/s: its
// cutting on and off, seen as a mean.
const LimitBand = 8.0

// rates is what slopes knows beside the derivatives.
type rates struct {
	force, torque, slip, pressure, head, flow, use, accelWheel, drag float64
}

// Errors for input that cannot be run.
var (
	ErrPass = errors.New("sim: the pass has no gears, no length or a start beyond its end")
	ErrRun  = errors.New("sim: the integration did not reach the line; the car may not move at all")
)

const states = 7 // x, v, wheel speed, head, wastegate, overshoot, warmth of the cooler's core

// Run simulates p. The pass is not modified. Its errors are ErrPass and ErrRun.
func (r *Runner) Run(p *Pass) (*Result, error) {
	if len(r.Car.Ratios) == 0 || p.Length <= p.Start.X || p.Start.Gear < 1 || p.Start.Gear > len(r.Car.Ratios) {
		return nil, ErrPass
	}
	r.p, r.meet = p, p.Start.Bite
	if r.Watch || r.Keep > 0 {
		r.peaks = r.Car.Tyre.Peaks()
	}
	res := &Result{MarkTime: make([]float64, len(r.Marks)), MarkSpeed: make([]float64, len(r.Marks))}
	for i := range r.Marks {
		res.MarkTime[i], res.MarkSpeed[i] = math.NaN(), math.NaN()
	}
	n := states
	if r.Books {
		n = accEnd
		res.Books = &Books{}
	}
	var buf [accEnd]float64
	y := buf[:n]
	y[0], y[1], y[2], y[3], y[6] = p.Start.X, p.Start.V, p.Start.Wheel, p.Start.Head, p.Start.Core
	if y[2] == 0 || p.Ideal.Grip {
		y[2] = y[1] / r.radius(y[1])
	}
	t := p.Start.Time
	enter := math.NaN() // time of entering the window
	if p.Length-p.Window < p.Start.X {
		enter = t
	}
	before := r.kinetic(y, p.Start.Gear)
	for g := p.Start.Gear - 1; ; g++ {
		r.enter(g)
		r.ramp(g, y[2]*r.c.ratio)
		if p.Ideal.Lag {
			y[3], y[4] = r.c.head, 0
		}
		// the control's overshoot is loaded by boost that has to rise
		y[5] = Load(y[5], r.c.over, y[3], r.c.head)
		sol, err := r.inGear(t, y, g, &enter, res)
		if err != nil {
			return nil, err
		}
		t = sol.End
		copy(y, sol.EndY)
		res.Top = max(res.Top, y[1])
		last := len(sol.Hits) - 1
		for last >= 0 && (sol.Hits[last].Event >= evMarks || sol.Hits[last].Event == evWindow) {
			last-- // a mark at the line itself
		}
		if last < 0 || sol.Outcome != ode.Stopped {
			return nil, ErrRun
		}
		switch sol.Hits[last].Event {
		case evLine:
			res.Complete = true
			res.Time, res.Instant = t, y[1]
			res.Trap = p.Window / (t - enter)
			r.close(res, y, before, g+1)
			return res, nil
		case evLift:
			res.Time, res.Instant = t, y[1]
			r.close(res, y, before, g+1)
			return res, nil
		}
		if t, err = r.shift(t, y, g, &enter, res); err != nil {
			return nil, err
		}
		if res.Complete {
			r.close(res, y, before, g+1)
			return res, nil
		}
	}
}

func (r *Runner) radius(v float64) float64 { return r.Car.Radius * (1 + r.Car.Growth*v*v) }

// enter prepares the constants of gear g (from 0).
func (r *Runner) enter(g int) {
	c, p := r.Car, r.p
	r.gear = g
	k := &r.c
	k.ratio = c.Ratios[g]
	k.inertia = c.DrivenInertia + c.Efficiency*k.ratio*k.ratio*c.EngineInertia
	k.body = c.Mass + c.UndrivenInertia/(c.Radius*c.Radius)
	k.weight = c.DrivenShare * c.Mass * gravity
	k.target = p.Air.Pressure + at(p.Target, g, 0)
	if p.Ideal.Lag {
		k.target += at(c.Boost.Settled, g, 0)
	} else {
		k.target += at(c.Boost.Offset, g, 0)
	}
	if f := c.Boost.Floor; f > 0 && len(p.Target) > 0 && !p.Ideal.Lag {
		k.target = max(k.target, p.Air.Pressure+f)
	}
	k.head = Head(p.Air.Pressure, k.target)
	k.over = c.Boost.OverHead(p.Air.Pressure, k.head)
	k.dragArea = c.DragArea
	if p.Ideal.Drag {
		k.dragArea = 0
	}
	k.scale = at(p.TorqueScale, g, 1)
	k.grip = p.GripScale
	if k.grip == 0 {
		k.grip = 1
	}
	k.roll = c.Rolling * c.Mass * gravity
	k.tyre = curveOf(c.Tyre.Shape)
	k.nitrous = p.Nitrous && c.Nitrous.Power+c.Nitrous.Feed > 0 && c.Nitrous.In(g+1, p.Start.Gear)
}

// ramp sets the target's rise over engine speed in gear g (from 0), entered at speed,
// rad/s.
func (r *Runner) ramp(g int, speed float64) {
	p, k := r.p, &r.c
	k.slope, k.from = 0, speed
	rise := at(p.TargetRise, g, 0)
	if rise == 0 {
		return
	}
	end := r.Car.RevLimit
	if g < len(r.Car.Ratios)-1 {
		end = at(p.ShiftSpeed, g, end)
	}
	k.span = max(50, end-speed)
	k.slope = (Head(p.Air.Pressure, k.target+rise) - k.head) / k.span
}

// at is entry i of s, its last entry beyond the end, or d when s is empty.
func at(s []float64, i int, d float64) float64 {
	if len(s) == 0 {
		return d
	}
	if i >= len(s) {
		i = len(s) - 1
	}
	return s[i]
}
