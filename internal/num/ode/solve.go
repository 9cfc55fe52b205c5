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

// Config says how. The zero value is Tsit5 with PI{}.
type Config struct {
	Method *Method // nil means Tsit5
	Step   Stepper // nil means PI{}
	Events []Event
	// Keep is the distance of stored points, in t's unit, from the dense output;
	// zero stores only the ends. The end reached is always stored.
	Keep float64
	// First is the first step, in t's unit; zero means an estimate from the slopes.
	First float64
	// Longest step, in t's unit; zero means no limit.
	Longest float64
	// MaxSteps counts tries; zero means 100000.
	MaxSteps int
	// Each, if set, sees every accepted step; the step is valid only during the call.
	Each func(*Step)
}

// Outcome says how an integration ended.
type Outcome int

// The outcomes.
const (
	ReachedEnd Outcome = iota
	Stopped            // by an event
	OutOfSteps
	StepTooSmall
)

// String is a sentence with advice.
func (o Outcome) String() string {
	switch o {
	case ReachedEnd:
		return "reached the end of the span"
	case Stopped:
		return "stopped at an event"
	case OutOfSteps:
		return "used up its steps; the problem may be too stiff for an explicit method, or the tolerance too fine"
	case StepTooSmall:
		return "the step shrank to nothing; the slopes may jump or run away there"
	}
	return "unknown outcome"
}

// Stats counts the work.
type Stats struct{ Accepted, Rejected, Evaluations int }

// Solution is what came of it.
type Solution struct {
	T       []float64   // in t's unit
	Y       [][]float64 // by point, in the components' units
	End     float64     // where it ended, in t's unit
	EndY    []float64   // the state there, in the components' units
	Hits    []Hit       // in order of time
	Outcome Outcome
	Stats   Stats
}

// Errors for input that cannot be worked on.
var (
	ErrSpan  = errors.New("ode: the span is empty or not finite")
	ErrState = errors.New("ode: the initial state is empty or not finite")
	ErrStep  = errors.New("ode: the fixed step must be positive")
)

// Solve integrates f over the span from y0, in the caller's units. The error is for input that cannot
// be worked on at all; how the integration ended is Solution.Outcome.
func Solve(f Func, span Span, y0 []float64, cfg Config) (*Solution, error) {
	var w Workspace
	return w.Solve(f, span, y0, cfg)
}

// Workspace keeps the memory of a solver between calls, for those who integrate
// the same system many times. The zero value is ready. It is not safe for use by
// several goroutines.
type Workspace struct {
	n, s   int
	k      [][]float64
	y, yt  []float64
	ye, er []float64
	b      []float64
	g0, g1 []float64
	awake  []bool
	step   Step
}

func (w *Workspace) size(n, stages, events int) {
	if w.n != n || w.s != stages {
		w.n, w.s = n, stages
		w.k = make([][]float64, stages)
		for i := range w.k {
			w.k[i] = make([]float64, n)
		}
		w.y, w.yt, w.ye, w.er = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		w.b = make([]float64, stages)
	}
	if len(w.g0) < events {
		w.g0, w.g1, w.awake = make([]float64, events), make([]float64, events), make([]bool, events)
	}
}

// Solve is as the function of that name (y0 in the caller's units); the solution's slices are the caller's.
func (w *Workspace) Solve(f Func, span Span, y0 []float64, cfg Config) (*Solution, error) {
	if !(span.To > span.From) || math.IsInf(span.From, 0) || math.IsInf(span.To, 0) {
		return nil, ErrSpan
	}
	if len(y0) == 0 {
		return nil, ErrState
	}
	for _, v := range y0 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, ErrState
		}
	}
	m, ctl := cfg.Method, cfg.Step
	if m == nil {
		m = tsit5
	}
	if ctl == nil {
		ctl = PI{}
	}
	maxSteps := cfg.MaxSteps
	if maxSteps == 0 {
		maxSteps = 100000
	}
	n, last := len(y0), m.Stages()-1
	w.size(n, m.Stages(), len(cfg.Events))
	sol := &Solution{}
	t, y := span.From, w.y
	copy(y, y0)
	f(t, y, w.k[0])
	sol.Stats.Evaluations = 1
	for i, e := range cfg.Events {
		w.g0[i] = e.F(t, y)
		w.awake[i] = w.g0[i] != 0
	}
	keep := func(t float64, y []float64) {
		sol.T = append(sol.T, t)
		sol.Y = append(sol.Y, append([]float64(nil), y...))
	}
	kept := 0
	if cfg.Keep > 0 {
		keep(t, y)
	}
	h := cfg.First
	adaptive := ctl.fixed() == 0
	if !adaptive {
		if h = ctl.fixed(); h < 0 {
			return nil, ErrStep
		}
	} else if h <= 0 {
		h = w.firstStep(f, t, span.To, ctl, m.Order, sol)
	}
	prev := 0.0
	sol.Outcome = OutOfSteps
loop:
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
		sol.Stats.Evaluations += last
		norm := ctl.norm(w.er, y, w.ye)
		fac, ok := ctl.next(m.Order, norm, prev)
		if !ok {
			sol.Stats.Rejected++
			h = hs * fac
			continue
		}
		sol.Stats.Accepted++
		prev = norm
		st := &w.step
		*st = Step{T0: t, T1: t1, Y0: y, Y1: w.ye, w: w, m: m}
		stopped := w.events(st, cfg.Events, sol)
		end := t1
		if stopped {
			end = sol.Hits[len(sol.Hits)-1].T
		}
		if cfg.Keep > 0 {
			for {
				tk := span.From + float64(kept+1)*cfg.Keep
				if tk > end || (tk == end && (stopped || final)) {
					break
				}
				kept++
				keep(tk, st.At(tk, w.yt))
			}
		}
		if cfg.Each != nil {
			cfg.Each(st)
		}
		if stopped {
			h := sol.Hits[len(sol.Hits)-1]
			copy(y, h.Y)
			t = h.T
			sol.Outcome = Stopped
			break loop
		}
		w.y, w.ye = w.ye, w.y
		y = w.y
		w.k[0], w.k[last] = w.k[last], w.k[0]
		t = t1
		if final {
			sol.Outcome = ReachedEnd
			break
		}
		h = hs * fac
		if !adaptive {
			h = ctl.fixed()
		}
	}
	sol.End, sol.EndY = t, append([]float64(nil), y...)
	if len(sol.T) == 0 || sol.T[len(sol.T)-1] != t {
		keep(t, y)
	}
	return sol, nil
}

// advance fills the stages, the new state ye and the error er.
func (w *Workspace) advance(f Func, m *Method, t, h, t1 float64) {
	last := m.Stages() - 1
	y := w.y
	for i := 1; i <= last; i++ {
		out := w.yt
		if i == last {
			out = w.ye
		}
		row := m.a[i]
		for j := range y {
			s := 0.0
			for q, a := range row {
				s += a * w.k[q][j]
			}
			out[j] = y[j] + h*s
		}
		ti := t + m.c[i]*h
		if m.c[i] == 1 {
			ti = t1
		}
		f(ti, out, w.k[i])
	}
	for j := range y {
		s := 0.0
		for q, e := range m.e {
			s += e * w.k[q][j]
		}
		w.er[j] = h * s
	}
}

// events looks for crossings in the step, appends them in order of time up to
// the first that stops, and reports whether one stops.
func (w *Workspace) events(st *Step, evs []Event, sol *Solution) bool {
	found := len(sol.Hits)
	stop := math.Inf(1)
	for i := range evs {
		e := &evs[i]
		w.g1[i] = e.F(st.T1, st.Y1)
		if !w.awake[i] {
			w.awake[i] = w.g1[i] != 0
			w.g0[i] = w.g1[i]
			continue
		}
		if crossed(w.g0[i], w.g1[i], e.Direction) {
			at := root(func(t float64) float64 { return e.F(t, st.At(t, w.yt)) }, st.T0, w.g0[i], st.T1, w.g1[i])
			sol.Hits = append(sol.Hits, Hit{Event: i, T: at, Y: append([]float64(nil), st.At(at, w.yt)...)})
			if e.Stop && at < stop {
				stop = at
			}
		}
		// an event that ended the step at exactly zero has happened: it sleeps
		// until it moves away
		w.awake[i] = w.g1[i] != 0
		w.g0[i] = w.g1[i]
	}
	hits := sol.Hits[found:]
	for i := 1; i < len(hits); i++ {
		for j := i; j > 0 && hits[j].T < hits[j-1].T; j-- {
			hits[j], hits[j-1] = hits[j-1], hits[j]
		}
	}
	if math.IsInf(stop, 1) {
		return false
	}
	n := found
	for _, h := range hits {
		if h.T <= stop {
			sol.Hits[n] = h
			n++
		}
	}
	sol.Hits = sol.Hits[:n]
	return true
}

// firstStep is the estimate of Hairer, Nørsett and Wanner, section II.4.
func (w *Workspace) firstStep(f Func, t, to float64, ctl Stepper, order int, sol *Solution) float64 {
	d0 := ctl.norm(w.y, w.y, w.y)
	d1 := ctl.norm(w.k[0], w.y, w.y)
	h0 := 0.01 * d0 / d1
	if d0 < 1e-5 || d1 < 1e-5 {
		h0 = 1e-6
	}
	h0 = math.Min(h0, to-t)
	for j := range w.y {
		w.yt[j] = w.y[j] + h0*w.k[0][j]
	}
	f(t+h0, w.yt, w.k[1])
	sol.Stats.Evaluations++
	for j := range w.y {
		w.er[j] = w.k[1][j] - w.k[0][j]
	}
	d2 := ctl.norm(w.er, w.y, w.y) / h0
	h1 := math.Max(1e-6, h0*1e-3)
	if m := math.Max(d1, d2); m > 1e-15 {
		h1 = math.Pow(0.01/m, 1/float64(order))
	}
	h := math.Min(100*h0, math.Min(h1, to-t))
	if !(h > 0) || math.IsInf(h, 0) {
		h = 1e-6 * (to - t)
	}
	return h
}

// Step is an accepted step with its dense output.
type Step struct {
	T0, T1 float64   // in t's unit
	Y0, Y1 []float64 // states at the ends, in the components' units; not to be kept or modified
	w      *Workspace
	m      *Method
}

// At writes the state at t, in t's unit, T0 ≤ t ≤ T1, into out and returns it.
// It is of one order less than the method.
func (s *Step) At(t float64, out []float64) []float64 {
	h := s.T1 - s.T0
	s.m.with((t-s.T0)/h, s.w.b)
	for j := range out {
		v := 0.0
		for q, b := range s.w.b {
			v += b * s.w.k[q][j]
		}
		out[j] = s.Y0[j] + h*v
	}
	return out
}
