package ode

import "math"

// PI is the proportional-integral controller: it damps the sequence of steps
// where stability, not accuracy, limits them, which plain error control makes
// oscillate and reject. The zero value works.
type PI struct {
	// Rel is the relative tolerance of each component, 1. Zero means 1e-6.
	Rel float64
	// Abs is the absolute tolerance by component, in the component's unit. A
	// single entry serves all components; nil means 1e-9.
	Abs []float64
	// Safety lies in (0, 1), 1. Zero means 0.9.
	Safety float64
	// Shrink and Grow bound the change from step to step, 1. Zero means 0.2 and 8.
	Shrink, Grow float64
}

func or(x, d float64) float64 {
	if x == 0 {
		return d
	}
	return x
}

// norm measures an error estimate against the tolerance: at most 1 is good.
func (p *PI) norm(e, y0, y1 []float64) float64 {
	rel := or(p.Rel, 1e-6)
	s := 0.0
	for i, v := range e {
		abs := 1e-9
		if len(p.Abs) == 1 {
			abs = p.Abs[0]
		} else if len(p.Abs) > 1 {
			abs = p.Abs[i]
		}
		w := v / (abs + rel*math.Max(math.Abs(y0[i]), math.Abs(y1[i])))
		s += w * w
	}
	return math.Sqrt(s / float64(len(e)))
}

// next gives the factor for the coming step from the error norm of this and of the last accepted
// step (0 at first), and whether this step stands, with Gustafsson's exponents for a pair of
// order p: 0.7/p on the error now, 0.4/p on the last.
func (p *PI) next(order int, norm, last float64) (factor float64, accept bool) {
	safety, shrink, grow := or(p.Safety, 0.9), or(p.Shrink, 0.2), or(p.Grow, 8)
	if math.IsNaN(norm) || math.IsInf(norm, 0) {
		return shrink, false
	}
	if norm > 1 {
		return math.Max(shrink, safety*math.Pow(norm, -1/float64(order))), false
	}
	now := math.Log(math.Max(norm, 1e-6))
	f := -now
	if last > 0 {
		f = 0.4*math.Log(math.Max(last, 1e-6)) - 0.7*now
	}
	f = safety * math.Exp(f/float64(order))
	return math.Min(grow, math.Max(shrink, f)), true
}
