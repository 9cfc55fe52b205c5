// Package pipe holds the pressure that a liquid loses in a straight line of constant
// bore: friction of laminar and turbulent flow.
//
// Sources: Hagen–Poiseuille for Reynolds numbers below 2300; C. F. Colebrook, J. Inst.
// Civil Eng. 11 (1939) 133–156, solved exactly for turbulent flow; between 2300 and 4000
// the greater of the two, since either may happen. Minor losses of bends and fittings are
// counted by the caller as lengths (common practice, no source: 30 bores for an elbow).
package pipe

import "math"

// Flow is a liquid in a line.
type Flow struct {
	Volume    float64 // m³/s
	Bore      float64 // m, inner diameter
	Length    float64 // m, with what fittings add
	Density   float64 // kg/m³
	Viscosity float64 // Pa·s, dynamic
	Roughness float64 // m, of the wall; 0 for smooth
}

// Velocity returns the mean velocity, m/s.
func (f Flow) Velocity() float64 { return f.Volume / (math.Pi / 4 * f.Bore * f.Bore) }

// Reynolds returns the Reynolds number, 1.
func (f Flow) Reynolds() float64 { return f.Density * f.Velocity() * f.Bore / f.Viscosity }

// Loss returns the pressure lost along the line, Pa (Darcy–Weisbach).
func (f Flow) Loss() float64 {
	if f.Volume == 0 {
		return 0
	}
	v := f.Velocity()
	return Friction(f.Reynolds(), f.Roughness/f.Bore) * f.Length / f.Bore * f.Density * v * v / 2
}

// Friction returns Darcy's friction factor, 1, at a Reynolds number, 1, and roughness over
// bore, 1.
func Friction(re, roughness float64) float64 {
	laminar := 64 / re
	if re < 2300 {
		return laminar
	}
	f := colebrook(re, roughness)
	if re < 4000 {
		return math.Max(f, laminar)
	}
	return f
}

// colebrook solves 1/√f = −2·lg(ε/3.7 + 2.51/(re·√f)) by fixed point; it gains a digit or
// more each turn.
func colebrook(re, eps float64) float64 {
	x := 7.0 // 1/√f
	for range 60 {
		next := -2 * math.Log10(eps/3.7+2.51*x/re)
		if math.Abs(next-x) < 1e-13*x {
			x = next
			break
		}
		x = next
	}
	return 1 / (x * x)
}

// BoreFor returns the smallest bore, m, that loses no more than loss, Pa, and in which the
// liquid moves no faster than velocity, m/s; all else as in f, whose Bore is not looked at.
func (f Flow) BoreFor(loss, velocity float64) float64 {
	fits := func(d float64) bool {
		f.Bore = d
		return f.Velocity() <= velocity && f.Loss() <= loss
	}
	lo, hi := 1e-4, 1.0
	if !fits(hi) {
		return math.Inf(1)
	}
	for range 60 {
		if mid := (lo + hi) / 2; fits(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}
