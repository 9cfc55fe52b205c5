package ode

import "math"

// Bends are places where the slopes are continuous but bend: a valve that begins to
// open, a limit that begins to bind. A pair of order 5 is of order 2 in a step over
// one, whatever its tolerance, and its error estimate sees only part of that. So a step
// that would pass one is made to end there (E. Hairer, S. P. Nørsett, G. Wanner,
// "Solving Ordinary Differential Equations I", II.6, on discontinuities).
type Bends struct {
	N int // how many
	// F writes N functions of time and state, each zero at its bend and of either sign
	// beside it, into g. One that is not a number is left out.
	F func(t float64, y, g []float64)
}

// bendSure is how far from a bend, as a share of the step, a step may end: what is
// then left of the bend's error goes with the square of it.
const bendSure = 1e-3

// bends is a workspace's knowledge of them.
type bends struct {
	g0, g1 []float64 // at the step's ends
	trial  []float64
	awake  []bool
}

func (w *Workspace) startBends(b *Bends, t float64, y []float64) {
	if b.N == 0 {
		return
	}
	if len(w.bend.g0) < b.N {
		w.bend = bends{g0: make([]float64, b.N), g1: make([]float64, b.N), trial: make([]float64, b.N), awake: make([]bool, b.N)}
	}
	b.F(t, y, w.bend.g1[:b.N])
	w.bend.pass(b.N)
}

// nextBend is where the step should end for the first bend in it; ok is false when it
// may stand as it is. whole is the length of the step before it was cut short, in t's
// unit, 0 when it was not.
func (w *Workspace) nextBend(b *Bends, st *Step, whole float64) (at float64, ok bool) {
	h := st.T1 - st.T0
	b.F(st.T1, st.Y1, w.bend.g1[:b.N])
	at = st.T1 - bendSure*max(h, whole)
	for i := range b.N {
		g0, g1 := w.bend.g0[i], w.bend.g1[i]
		if !w.bend.awake[i] || !crossed(g0, g1, Either) {
			continue
		}
		g := func(t float64) float64 {
			b.F(t, st.At(t, w.yt), w.bend.trial[:b.N])
			return w.bend.trial[i]
		}
		if t := rootWithin(g, st.T0, g0, st.T1, g1, bendSure*h); t < at && t > st.T0+bendSure*h {
			at, ok = t, true
		}
	}
	return at, ok
}

// pass notes the values at the end of an accepted step.
func (b *bends) pass(n int) {
	for i, g := range b.g1[:n] {
		b.awake[i] = g != 0 && !math.IsNaN(g)
		b.g0[i] = g
	}
}
