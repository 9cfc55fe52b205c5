package ode

import "math"

// Direction says which crossings of zero count.
type Direction int

// The directions.
const (
	Either  Direction = 0
	Rising  Direction = 1  // from below zero to above
	Falling Direction = -1 // from above zero to below
)

// Event is a function of time and state whose zero is sought. One that is
// exactly zero at the start sleeps until it has moved away from zero. Two
// crossings within one step are not seen; bound the step if that matters.
type Event struct {
	Name      string
	F         func(t float64, y []float64) float64 // must not modify y
	Direction Direction
	Stop      bool // end the integration there
}

// Hit is an event that happened.
type Hit struct {
	Event int       // index in Config.Events
	T     float64   // in t's unit
	Y     []float64 // the state there, in the components' units; owned by the caller
}

// crossed reports whether g going from a to b counts for direction d.
func crossed(a, b float64, d Direction) bool {
	switch {
	case a < 0 && b >= 0:
		return d != Falling
	case a > 0 && b <= 0:
		return d != Rising
	}
	return false
}

// root finds the zero of g on [t0, t1], where g changes sign, by the Illinois
// variant of false position, which keeps the bracket and converges faster than
// linearly. It returns the end at which g has already the new sign, so that an
// event does not happen twice. Tolerance: 100 roundings of t.
func root(g func(t float64) float64, t0, g0, t1, g1 float64) float64 {
	return rootWithin(g, t0, g0, t1, g1, 100*2.2e-16*math.Max(math.Abs(t0), math.Abs(t1)))
}

// rootWithin is root with a tolerance of the caller's, in t's unit.
func rootWithin(g func(t float64) float64, t0, g0, t1, g1, tol float64) float64 {
	side := 0
	a, ga, b, gb := t0, g0, t1, g1
	for i := 0; i < 100 && b-a > tol && gb != 0; i++ {
		m := b - gb*(b-a)/(gb-ga)
		if !(m > a && m < b) {
			m = 0.5 * (a + b)
		}
		// keep a little away from the ends so that both close in
		if d := 0.5 * tol; m-a < d {
			m = a + d
		} else if b-m < d {
			m = b - d
		}
		gm := g(m)
		if gm == 0 {
			return m
		}
		if (gm > 0) == (gb > 0) {
			b, gb = m, gm
			if side == -1 {
				ga /= 2
			}
			side = -1
		} else {
			a, ga = m, gm
			if side == 1 {
				gb /= 2
			}
			side = 1
		}
	}
	return b
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
