package sim

import "traplight/internal/num/ode"

// The relative tolerances that a Runner is usually asked for, 1. What they come to at
// the trap, and what they cost, is measured by BenchmarkPass and told in docs/ode.md.
const (
	Fine  = 1e-6 // trap speed to 1e-4 m/s; a Runner's default
	Rough = 3e-5 // for passes by the thousand: trap speed to 0.005 m/s
)

// absTol are the absolute tolerances that go with Fine; they change in proportion with
// the relative one. A relative tolerance alone would be too loose for distance, which
// the trap's time comes from, and for what boost is controlled by.
var absTol = [accEnd]float64{
	3e-4,                               // m, distance
	3e-6,                               // m/s, speed
	3e-5,                               // rad/s, driven wheels
	3e-7,                               // 1, head
	3e-5,                               // 1/s, wastegate
	3e-7,                               // 1, overshoot
	1e-3,                               // K, warmth of the cooler's core
	0.03, 0.03, 0.03, 0.03, 0.03, 0.03, // J, the books
}

// coastTol are those of a coast's states: distance, speed, head and three books.
var coastTol = [6]float64{3e-4, 3e-6, 3e-7, 0.03, 0.03, 0.03}

func (r *Runner) rel() float64 {
	if r.Rel > 0 {
		return r.Rel
	}
	return Fine
}

// firstStep is the first step in a gear, s; finer tolerances let the solver choose.
func (r *Runner) firstStep() float64 {
	if r.rel() < Fine {
		return 0
	}
	return 0.01
}

func (r *Runner) stepper(n int) ode.PI { return tolerances(r.rel(), absTol[:n]) }

// coasting controls the steps of a shift: never looser than Fine, since few steps do.
func (r *Runner) coasting() ode.PI { return tolerances(min(r.rel(), Fine), coastTol[:]) }

func tolerances(rel float64, atFine []float64) ode.PI {
	abs := make([]float64, len(atFine))
	for i, a := range atFine {
		abs[i] = a * rel / Fine
	}
	return ode.PI{Rel: rel, Abs: abs}
}
