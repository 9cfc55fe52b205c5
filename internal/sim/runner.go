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
	// Rel is the relative tolerance, 1. Zero means 3e-5, which holds trap speed
	// to 0.001 m/s (see BenchmarkPass and TestTolerance).
	Rel float64
	// Solver, if set, integrates in place of package ode's: for checks against others.
	Solver func(f ode.Func, span ode.Span, y0 []float64, cfg ode.Config) (*ode.Solution, error)

	ws   ode.Workspace
	p    *Pass
	gear int // from 0
	c    consts
	out  rates // filled by slopes when wanted
	want bool
	meet Bite // of the clutch on entering the gear
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
	tyre           float64 // stiffness factor of the tyre's curve
}

// limitBand is the width below the limiter's speed over which it cuts, rad/s: its
// cutting on and off, seen as a mean.
const limitBand = 8.0

// rates is what slopes knows beside the derivatives.
type rates struct {
	force, torque, slip, pressure, flow, use, accelWheel, drag, load float64
}

// Errors for input that cannot be run.
var (
	ErrPass = errors.New("sim: the pass has no gears, no length or a start beyond its end")
	ErrRun  = errors.New("sim: the integration did not reach the line; the car may not move at all")
)

const states = 6 // x, v, wheel speed, head, wastegate, overshoot

// Run simulates p. The pass is not modified.
func (r *Runner) Run(p *Pass) (*Result, error) {
	if len(r.Car.Ratios) == 0 || p.Length <= p.Start.X || p.Start.Gear < 1 || p.Start.Gear > len(r.Car.Ratios) {
		return nil, ErrPass
	}
	r.p, r.meet = p, p.Start.Bite
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
	y[0], y[1], y[2], y[3] = p.Start.X, p.Start.V, p.Start.Wheel, p.Start.Head
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
	if c.Boost.Offset != nil {
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
	k.tyre = c.Tyre.stiffness()
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

// slopes is the car in gear with the clutch closed.
func (r *Runner) slopes(_ float64, y, d []float64) {
	c, p, k := r.Car, r.p, &r.c
	x, v, w, h := y[0], y[1], y[2], y[3]
	rad := r.radius(v)
	if p.Ideal.Grip {
		w = v / rad
	}
	speed := w * k.ratio
	pressure := Pressure(p.Air.Pressure, h)
	temp := c.Engine.ChargeTemperature(p.Air.Temperature, h)
	charge := c.Engine.Charge(pressure, temp)
	torque := k.scale * c.Engine.Torque(speed, charge)
	surplus, extra := 1.0, 0.0
	if k.nitrous {
		if open := min(1, max(0, (k.target-c.Nitrous.Below-pressure)/2e3)); open > 0 {
			extra = open * c.Nitrous.Power / max(speed, 100)
			if ind := c.Engine.Indicated(speed, charge); ind > 0 {
				surplus = 1 + open*c.Nitrous.Feed/max(speed, 100)/ind
			}
		}
	}
	torque += extra
	slip := 0.0
	if !p.Ideal.Grip {
		slip = (w*rad - v) / max(v, slipFloor)
		if cut := r.cut(slip); cut < 1 {
			torque *= cut
		}
	}
	if l := c.RevLimit; l > 0 && speed > l-limitBand {
		// the limiter takes the torque away within a narrow band below its speed
		torque *= max(0, min(1, (l-speed)/limitBand))
	}
	va := v + p.Air.Headwind
	q := 0.5 * p.Air.Density * va * math.Abs(va)
	drag := q * k.dragArea
	grade := c.Mass * gravity * p.Grade
	rollDriven := k.roll * c.DrivenShare
	resist := drag + grade + (k.roll - rollDriven)
	hub := c.Efficiency * k.ratio * torque
	var force, dv, dw, use float64
	if p.Ideal.Grip {
		dv = (hub/rad - rollDriven - resist) / (k.body + k.inertia/(rad*rad))
		dw = dv / rad
		force = dv*k.body + resist
	} else {
		force, use = r.tyre(x, slip, q, resist)
		dv = (force - resist) / k.body
		dw = (hub - force*rad - rollDriven*rad) / k.inertia
	}
	d[0], d[1], d[2] = v, dv, dw
	m := Flow(speed, pressure, temp)
	target := k.head
	if k.slope != 0 {
		target += k.slope * max(0, min(k.span, speed-k.from))
	}
	switch {
	case c.Boost.NoCharger, p.Ideal.Lag:
		d[3], d[4], d[5] = 0, 0, 0
	default:
		rise := c.Boost.Rise(m, h, speed/RefSpeed, surplus, 1)
		if c.Boost.Unlimited {
			d[3], d[4], d[5] = rise, 0, 0
			break
		}
		z := max(0, y[4])
		d[3] = rise - z
		d[4] = c.Boost.GateLag * (max(0, rise-c.Boost.Gate*(target+y[5]-h)) - z)
		d[5] = -y[5] * c.Boost.Settling(h-target)
	}
	if len(d) > states {
		se := speed * torque
		accel := dw * k.ratio
		net := (torque - c.EngineInertia*accel) * speed
		d[accCrank] = se
		d[accAero] = drag * v
		d[accRoll] = (k.roll-rollDriven)*v + rollDriven*rad*w
		d[accGrade] = grade * v
		d[accTyre] = force * (w*rad - v)
		d[accGears] = (1 - c.Efficiency) * net
		if p.Ideal.Grip {
			d[accTyre] = 0
		}
	}
	if r.want {
		r.out = rates{force: force, torque: torque, slip: slip, pressure: pressure, flow: m, use: use, accelWheel: dw, drag: drag}
	}
}

// cut is the share of torque that electronics or the driver leave at a slip, 1.
func (r *Runner) cut(slip float64) float64 {
	f := 1.0
	if c := r.Car; c.SlipCut > 0 && slip > c.SlipCut {
		u := (slip - c.SlipCut) / c.SlipCutWidth
		f = 1 / (1 + u*u)
	}
	if g := r.p.GuardSlip; g > 0 && slip > g {
		u := (slip - g) / g
		f /= 1 + u*u
	}
	return f
}

// tyre gives the force, N, at a slip, and used grip over available grip. Load
// moves with the force: F = µ·(W + λ·(F − R)), λ cg height over wheelbase.
func (r *Runner) tyre(x, slip, q, resist float64) (force, use float64) {
	c, k := r.Car, &r.c
	t := &c.Tyre
	shape := t.curve(slip/t.PeakSlip, k.tyre)
	top := t.Peak * k.grip * t.profile(x)
	w := k.weight + q*c.LiftDriven
	mu := top * shape
	lam := c.Transfer
	for range 2 {
		force = mu * (w - lam*resist) / max(0.2, 1-mu*lam)
		load := w + lam*(force-resist)
		mu = top * shape * max(0.3, 1-t.LoadSens*(load/t.RefLoad-1))
	}
	force = mu * (w - lam*resist) / max(0.2, 1-mu*lam)
	// the driven axle cannot carry more than the car: its nose is in the air then
	if most := mu * (c.Mass*gravity + q*c.LiftDriven); lam > 0 && force > most {
		force = most
	}
	return force, shape
}

const (
	evLine = iota
	evWindow
	evShift
	evLift
	evMarks
)

func never(float64, []float64) float64 { return 1 }

func (r *Runner) inGear(t float64, y []float64, g int, enter *float64, res *Result) (*ode.Solution, error) {
	p, c := r.p, r.Car
	evs := make([]ode.Event, 0, evMarks+len(r.Marks))
	evs = append(evs,
		ode.Event{Name: "line", F: func(_ float64, y []float64) float64 { return y[0] - p.Length }, Direction: ode.Rising, Stop: true},
		ode.Event{Name: "window", F: func(_ float64, y []float64) float64 { return y[0] - (p.Length - p.Window) }, Direction: ode.Rising},
		ode.Event{Name: "shift", F: never, Direction: ode.Rising, Stop: true},
		ode.Event{Name: "lift", F: never, Direction: ode.Rising, Stop: true})
	if g < len(c.Ratios)-1 && g < len(p.ShiftSpeed) {
		lim := p.ShiftSpeed[g]
		if c.RevLimit > 0 {
			lim = min(lim, c.RevLimit-limitBand/2)
		}
		w := lim / c.Ratios[g]
		if y[2] >= w {
			// the shift is due at once
			w = y[2] * (1 + 1e-9)
		}
		evs[evShift].F = func(_ float64, y []float64) float64 { return y[2] - w }
		if p.Ideal.Grip {
			evs[evShift].F = func(_ float64, y []float64) float64 { return y[1]/r.radius(y[1]) - w }
		}
	}
	if p.LiftTime > 0 {
		at := p.Start.Time + p.LiftTime
		evs[evLift].F = func(t float64, _ []float64) float64 { return t - at }
		if t >= at {
			at = t + 1e-6
		}
	}
	for _, m := range r.Marks {
		evs = append(evs, ode.Event{F: func(_ float64, y []float64) float64 { return y[0] - m }, Direction: ode.Rising})
	}
	cfg := ode.Config{Step: r.stepper(len(y)), Events: evs, First: r.first(), Longest: 0.12, MaxSteps: 20000}
	var w *watch
	if r.Watch || r.Keep > 0 {
		w = r.watcher(g, t, y, res)
		cfg.Each = w.step
	}
	sol, err := r.solve(r.slopes, ode.Span{From: t, To: t + 90}, y, cfg)
	if err != nil {
		return nil, err
	}
	res.Evaluation += sol.Stats.Evaluations
	r.hits(sol, enter, res)
	if w != nil {
		w.finish(sol.End, sol.EndY)
	}
	return sol, nil
}

func (r *Runner) solve(f ode.Func, span ode.Span, y []float64, cfg ode.Config) (*ode.Solution, error) {
	if r.Solver != nil {
		return r.Solver(f, span, y, cfg)
	}
	return r.ws.Solve(f, span, y, cfg)
}

// first is the first step in a gear, s; finer tolerances let the solver choose.
func (r *Runner) first() float64 {
	if r.Rel > 0 && r.Rel < defaultRel {
		return 0
	}
	return 0.01
}

func (r *Runner) hits(sol *ode.Solution, enter *float64, res *Result) {
	for _, h := range sol.Hits {
		switch {
		case h.Event == evWindow:
			*enter = h.T
		case h.Event >= evMarks:
			res.MarkTime[h.Event-evMarks], res.MarkSpeed[h.Event-evMarks] = h.T, h.Y[1]
		}
	}
}

// absolute tolerances of x, m; v, m/s; wheel speed, rad/s; head; wastegate, 1/s;
// overshoot; for the default relative one; they shrink with it.
var absTol = [accEnd]float64{1e-3, 1e-4, 1e-3, 1e-5, 1e-2, 1e-4, 1, 1, 1, 1, 1, 1}

const defaultRel = 3e-5

func (r *Runner) stepper(n int) ode.Stepper {
	rel := r.Rel
	if rel == 0 {
		rel = defaultRel
	}
	abs := absTol
	for i := range abs {
		abs[i] *= rel / defaultRel
	}
	return ode.PI{Rel: rel, Abs: abs[:n]}
}
