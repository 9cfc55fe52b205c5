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
	g0, g1 []float64
	trial  []float64
	awake  []bool
	aim    int // the bend at which the step under way is to end, or -1
}

func (w *Workspace) startBends(b *Bends, t float64, y []float64) {
	w.bend.aim = -1
	if b.N == 0 {
		return
	}
	if len(w.bend.g0) < b.N {
		w.bend = bends{g0: make([]float64, b.N), g1: make([]float64, b.N), trial: make([]float64, b.N), awake: make([]bool, b.N), aim: -1}
	}
	b.F(t, y, w.bend.g0[:b.N])
	for i, g := range w.bend.g0[:b.N] {
		w.bend.awake[i] = g != 0
	}
}

// nextBend is where the step should end for the first bend in it; ok is false when it
// may stand as it is.
func (w *Workspace) nextBend(b *Bends, st *Step) (at float64, ok bool) {
	aimed := w.bend.aim
	w.bend.aim = -1
	h := st.T1 - st.T0
	b.F(st.T1, st.Y1, w.bend.g1[:b.N])
	at = st.T1 - bendSure*h
	for i := range b.N {
		g0, g1 := w.bend.g0[i], w.bend.g1[i]
		if i == aimed || !w.bend.awake[i] || !crossed(g0, g1, Either) {
			continue
		}
		g := func(t float64) float64 {
			b.F(t, st.At(t, w.yt), w.bend.trial[:b.N])
			return w.bend.trial[i]
		}
		t := rootWithin(g, st.T0, g0, st.T1, g1, bendSure*h)
		if t < at && t > st.T0+bendSure*h {
			at, ok, w.bend.aim = t, true, i
		}
	}
	return at, ok
}

// pass notes the values at the end of an accepted step; the bend at which it was made
// to end sleeps until it has moved away.
func (b *bends) pass(n, aimed int) {
	for i, g := range b.g1[:n] {
		b.awake[i] = g != 0 && i != aimed && !math.IsNaN(g)
		b.g0[i] = g
	}
}
