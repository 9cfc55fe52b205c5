package ode

import (
	"errors"
	"math"
)

// Func writes the slopes at t and y into dydt. It must not modify y nor keep
// either slice.
type Func func(t float64, y, dydt []float64)

// Span is where to integrate, in t's unit; To must lie after From.
type Span struct {
	From, To float64 // caller's unit
}

// Config says how. The zero value is the pair of Tsitouras with steps of its own length.
type Config struct {
	Method *Method // nil means the pair of Tsitouras (2011)
	Step   PI
	Events []Event
	Bends  Bends // places where the slopes bend, at which steps end; the zero value has none
	// Keep is the distance of stored points, in t's unit, from the dense output;
	// zero stores only the ends. The end reached is always stored.
	Keep float64
	// First is the first step, in t's unit; zero means an estimate from the slopes.
	First float64
	// Longest step, in t's unit; zero means no limit.
	Longest float64
	// Fixed is the length of all steps, in t's unit, whatever their error: for studies of
	// convergence. Zero leaves it to Step.
	Fixed float64
	// MaxSteps counts tries; zero means 100000.
	MaxSteps int
	// Each, if set, sees every accepted step; the step is valid only during the call.
	Each func(*Step)
}

// Errors for input that cannot be worked on.
var (
	ErrSpan  = errors.New("ode: the span is empty or not finite")
	ErrState = errors.New("ode: the initial state is empty or not finite")
	ErrStep  = errors.New("ode: the fixed step must not be negative")
)

// Solve integrates f over the span from y0, in the caller's units. The error is for input that cannot
// be worked on at all; how the integration ended is Solution.Outcome.
func Solve(f Func, span Span, y0 []float64, cfg Config) (*Solution, error) {
	var w Workspace
	return w.Solve(f, span, y0, cfg)
}

// Solve is as the function of that name (y0 in the caller's units, the same errors); the solution's slices are the caller's.
func (w *Workspace) Solve(f Func, span Span, y0 []float64, cfg Config) (*Solution, error) {
	if err := check(span, y0, cfg.Fixed); err != nil {
		return nil, err
	}
	m, maxSteps := cfg.filled()
	stages := m.Stages() - 1 // evaluations a step; the first slopes are the last step's last
	sol := w.begin(f, m, span.From, y0, &cfg)
	t, h, adaptive := span.From, cfg.First, cfg.Fixed == 0
	if !adaptive {
		h = cfg.Fixed
	} else if h <= 0 {
		h = w.firstStep(f, t, span.To, &cfg.Step, m.Order, sol)
	}
	prev, bent := 0.0, 0.0 // bent: length of the step that was cut short at a bend
	sol.Outcome = OutOfSteps
	for try := 0; try < maxSteps; try++ {
		if adaptive && cfg.Longest > 0 && h > cfg.Longest {
			h = cfg.Longest
		}
		t1, final := t+h, false
		if t1 >= span.To-1e-13*math.Abs(span.To) {
			t1, final = span.To, true
		}
		hs := t1 - t
		if hs <= 4e-16*math.Abs(t) || hs == 0 {
			sol.Outcome = StepTooSmall
			break
		}
		w.advance(f, m, t, hs, t1)
		sol.Stats.Evaluations += stages
		factor, norm := 1.0, 0.0
		if adaptive {
			var ok bool
			norm = cfg.Step.norm(w.er, w.y, w.ye)
			if factor, ok = cfg.Step.next(m.Order, norm, prev); !ok {
				sol.Stats.Rejected++
				h = hs * factor
				continue
			}
		}
		w.step = Step{T0: t, T1: t1, Y0: w.y, Y1: w.ye, w: w, m: m}
		if cfg.Bends.N > 0 && adaptive {
			if at, ok := w.nextBend(&cfg.Bends, &w.step, bent); ok {
				sol.Stats.Bent++
				bent, h = max(bent, hs), at-t
				continue
			}
			w.bend.pass(cfg.Bends.N)
		}
		prev = norm
		if w.accepted(&cfg, span.From, final, sol) {
			t = sol.Hits[len(sol.Hits)-1].T
			copy(w.y, sol.Hits[len(sol.Hits)-1].Y)
			sol.Outcome = Stopped
			break
		}
		w.y, w.ye = w.ye, w.y
		w.k[0], w.k[stages] = w.k[stages], w.k[0]
		t = t1
		if final {
			sol.Outcome = ReachedEnd
			break
		}
		if adaptive {
			h = max(hs*factor, bent)
			bent = 0
		}
	}
	sol.End, sol.EndY = t, append([]float64(nil), w.y...)
	if len(sol.T) == 0 || sol.T[len(sol.T)-1] != t {
		sol.keep(t, w.y)
	}
	return sol, nil
}

// begin readies the workspace at the start: state, slopes, events and bends.
func (w *Workspace) begin(f Func, m *Method, t float64, y0 []float64, cfg *Config) *Solution {
	sol := &Solution{}
	w.size(len(y0), m.Stages(), len(cfg.Events))
	copy(w.y, y0)
	f(t, w.y, w.k[0])
	sol.Stats.Evaluations = 1
	for i, e := range cfg.Events {
		w.g0[i] = e.F(t, w.y)
		w.awake[i] = w.g0[i] != 0
	}
	w.startBends(&cfg.Bends, t, w.y)
	if cfg.Keep > 0 {
		sol.keep(t, w.y)
	}
	return sol
}

// accepted sees to the events within a step that stands and to what is to be kept of it, and
// reports whether an event, the last of the hits, stops the integration; final says that the
// step ends the span, which began at start.
func (w *Workspace) accepted(cfg *Config, start float64, final bool, sol *Solution) (stopped bool) {
	st := &w.step
	sol.Stats.Accepted++
	stopped = w.events(st, cfg.Events, sol)
	if cfg.Keep > 0 {
		end := st.T1
		if stopped {
			end = sol.Hits[len(sol.Hits)-1].T
		}
		sol.keepWithin(st, start, cfg.Keep, end, stopped || final, w.yt)
	}
	if cfg.Each != nil {
		cfg.Each(st)
	}
	return stopped
}

// check refuses what cannot be integrated.
func check(span Span, y0 []float64, fixed float64) error {
	if !(fixed >= 0) {
		return ErrStep
	}
	if !(span.To > span.From) || math.IsInf(span.From, 0) || math.IsInf(span.To, 0) {
		return ErrSpan
	}
	if len(y0) == 0 {
		return ErrState
	}
	for _, v := range y0 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ErrState
		}
	}
	return nil
}

// filled gives method and the number of tries, the defaults where none is set.
func (c *Config) filled() (m *Method, tries int) {
	m, tries = c.Method, c.MaxSteps
	if m == nil {
		m = tsit5
	}
	if tries == 0 {
		tries = 100000
	}
	return m, tries
}

// keep stores a point, with a copy of y.
func (s *Solution) keep(t float64, y []float64) {
	s.T = append(s.T, t)
	s.Y = append(s.Y, append([]float64(nil), y...))
}

// keepWithin stores the points of an even grid from the start, every apart, that lie in the
// step up to end; the end itself is left out where it is the last, for it is stored anyway.
// The first point of all is the start, so that the next one is as many on as are stored. yt is
// scratch.
func (s *Solution) keepWithin(st *Step, start, every, end float64, last bool, yt []float64) {
	for {
		t := start + float64(len(s.T))*every
		if t > end || t == end && last {
			return
		}
		s.keep(t, st.At(t, yt))
	}
}
