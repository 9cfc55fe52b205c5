package sim

import (
	"math"

	"traplight/internal/num/ode"
)

// watch looks at the accepted steps of one gear.
type watch struct {
	r    *Runner
	res  *Result
	g    Gear
	prev Point
	next float64 // time of the next stored point
	used float64
	held bool // the tyres have held since the launch
	y, d []float64
	slip slipTimes
}

func (r *Runner) watcher(g int, t float64, y []float64, res *Result) *watch {
	w := &watch{r: r, res: res, y: make([]float64, len(y)), d: make([]float64, len(y))}
	w.g = Gear{Gear: g + 1, T0: t, X0: y[0], V0: y[1], Speed0: y[2] * r.c.ratio, Bite: r.meet, RecoveryTime: -1}
	w.g.Goal = 0.95 * (r.c.target - r.p.Air.Pressure)
	w.next = t
	if k := r.Keep; k > 0 && len(res.Points) > 0 {
		w.next = math.Ceil(t/k-1e-9) * k
	}
	w.held = g+1 != r.p.Start.Gear
	w.prev = w.point(t, y)
	w.see(w.prev, 0)
	return w
}

// point evaluates the car at a state.
func (w *watch) point(t float64, y []float64) Point {
	r := w.r
	r.want = true
	r.slopes(t, y, w.d)
	r.want = false
	o := r.out
	ws := y[2]
	if r.p.Ideal.Grip {
		ws = y[1] / r.radius(y[1])
	}
	return Point{T: t, X: y[0], V: y[1], Wheel: ws, EngineSpeed: ws * r.c.ratio, Boost: o.pressure - r.p.Air.Pressure,
		Force: o.force, Torque: o.torque, Slip: o.slip, Gear: r.gear + 1}
}

func (w *watch) see(p Point, dt float64) {
	r := w.r
	g, o, c := &w.g, &r.out, r.Car
	g.MaxTorque = math.Max(g.MaxTorque, p.Torque)
	g.MaxInput = math.Max(g.MaxInput, p.Torque-c.EngineInertia*o.accelWheel*r.c.ratio)
	g.MaxPower = math.Max(g.MaxPower, p.Torque*p.EngineSpeed)
	g.MaxBoost = math.Max(g.MaxBoost, p.Boost)
	g.MaxSlip = math.Max(g.MaxSlip, p.Slip)
	if o.flow > g.MaxFlow {
		g.MaxFlow, g.FlowBoost = o.flow, p.Boost
	}
	use := o.use / r.peaks.Share(p.V)
	g.MaxUse = math.Max(g.MaxUse, use)
	w.used += use * dt
	if c.Tyre.past(p.Slip, p.V) {
		g.PastPeak += dt
	} else if !w.held {
		// wheelspin that began at the launch is the launch's
		w.held, g.PastPeak, w.slip = true, 0, slipTimes{}
	}
	w.slip.add(w.prev.Slip/r.peaks.Slip(w.prev.V), p.Slip/r.peaks.Slip(p.V), dt)
	g.MaxHead = math.Max(g.MaxHead, o.head)
	g.Cut = math.Max(g.Cut, 1-r.cut(p.Slip))
	if k := &r.c; k.slope != 0 {
		g.Goal = 0.95 * (Pressure(r.p.Air.Pressure, k.head+k.slope*max(0, min(k.span, p.EngineSpeed-k.from))) - r.p.Air.Pressure)
	}
	if !g.Reached && p.Boost >= g.Goal {
		g.Reached = true
		g.RecoveryTime = p.T - g.T0
		if d := p.Boost - w.prev.Boost; d > 0 && p.T > w.prev.T {
			g.RecoveryTime -= (p.T - w.prev.T) * math.Min(1, (p.Boost-g.Goal)/d)
		}
	}
}

func (w *watch) step(s *ode.Step) {
	for k := w.r.Keep; k > 0 && w.next <= s.T1; w.next += k {
		if w.next >= s.T0 {
			w.res.Points = append(w.res.Points, w.point(w.next, s.At(w.next, w.y)))
		}
	}
	p := w.point(s.T1, s.Y1)
	w.see(p, s.T1-s.T0)
	w.prev = p
}

// finish closes the gear at its end. A step may have reached beyond; stored
// points after the end are dropped.
func (w *watch) finish(t float64, y []float64) {
	for n := len(w.res.Points); n > 0 && w.res.Points[n-1].T > t && w.r.Keep > 0; n = len(w.res.Points) {
		w.res.Points = w.res.Points[:n-1]
	}
	p := w.point(t, y)
	g := &w.g
	g.T1, g.X1, g.V1, g.Speed1, g.EndBoost = t, p.X, p.V, p.EngineSpeed, p.Boost
	g.Lasting = w.slip.lasting()
	if d := t - g.T0; d > 0 {
		g.MeanUse = w.used / d
	}
	w.res.Gears = append(w.res.Gears, w.g)
}
