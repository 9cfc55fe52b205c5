package ode

import "math"

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
	bend   bends
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

// firstStep is the estimate of Hairer, Nørsett and Wanner, section II.4.
func (w *Workspace) firstStep(f Func, t, to float64, ctl *PI, order int, sol *Solution) float64 {
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
