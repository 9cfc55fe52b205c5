package sim

import "traplight/internal/num/ode"

const (
	evLine = iota
	evWindow
	evShift
	evLift
	evMarks
)

func never(float64, []float64) float64 { return 1 }

// dueAtOnce is how long a gear lasts that is entered at or beyond its shift speed, s.
const dueAtOnce = 1e-4

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
			lim = min(lim, c.RevLimit-LimitBand/2)
		}
		w := lim / c.Ratios[g]
		evs[evShift].F = func(_ float64, y []float64) float64 { return y[2] - w }
		if p.Ideal.Grip {
			evs[evShift].F = func(_ float64, y []float64) float64 { return y[1]/r.radius(y[1]) - w }
		}
		if y[2] >= w {
			// due at once, even where the limiter would let the engine speed rise no more
			evs[evShift].F = func(now float64, _ []float64) float64 { return now - t - dueAtOnce }
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
	cfg := ode.Config{Step: r.stepper(len(y)), Events: evs, Bends: r.bends(), First: r.firstStep(), Longest: 0.12, MaxSteps: 20000}
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
