package grip

import "math"

// Form is the shape of the curve: peak slip, C and E of the magic formula, all 1, the peak slip
// that of a tyre that creeps, and the fall of friction.
type Form struct {
	PeakSlip, C, E float64 // 1
	Fall           float64 // s/m, relative loss of friction by sliding speed
}

// stiffness solves b·(1−E) + E·atan(b) = tan(π/2C) for b = B·s_p.
func (f Form) stiffness() float64 {
	want := math.Tan(math.Pi / (2 * f.C))
	b := want
	for range 20 {
		g := b*(1-f.E) + f.E*math.Atan(b) - want
		d := (1 - f.E) + f.E/(1+b*b)
		step := g / d
		b -= step
		if b <= 0 {
			b = 1e-3
		}
		if math.Abs(step) < 1e-10*b {
			break
		}
	}
	return b / f.PeakSlip
}

// At is the used grip, 1, at slip s, 1, and speed v, m/s, for a friction d, 1.
func (f Form) At(s, v, d float64) float64 {
	u, _ := f.eval(f.stiffness(), s, v, d)
	return u
}

// Top is the slip, 1, of the highest used grip at speed v, m/s, and that grip over the friction, 1.
func (f Form) Top(v float64) (slip, grip float64) { return f.top(f.stiffness(), v) }

// top is Top, given B. Where friction does not fall the top is the formula's own; else it lies
// at less slip, where a per cent of slip brings no grip; that gain falls about evenly from one
// per cent at no slip, so that a few steps of the false position find it to 1e-4.
func (f Form) top(b, v float64) (slip, grip float64) {
	gain := func(s float64) float64 {
		u, k := f.eval(b, s, v, 1)
		return s * k / u
	}
	lo, hi := 0.2*f.PeakSlip, f.PeakSlip
	gl, gh := gain(lo), gain(hi)
	slip = hi
	if f.Fall > 0 && gl > 0 && gh < 0 {
		side := 0 // Illinois: an end that stays twice loses weight
		for range 6 {
			slip = (lo*gh - hi*gl) / (gh - gl)
			g := gain(slip)
			if g > 0 {
				lo, gl = slip, g
				if side > 0 {
					gh /= 2
				}
				side = 1
			} else {
				hi, gh = slip, g
				if side < 0 {
					gl /= 2
				}
				side = -1
			}
		}
	}
	grip, _ = f.eval(b, slip, v, 1)
	return slip, grip
}

// eval returns used grip and its derivative by slip, given B.
func (f Form) eval(b, s, v, d float64) (u, k float64) {
	x := b * s
	at := math.Atan(x)
	y := x - f.E*(x-at)
	dy := b * (1 - f.E*(1-1/(1+x*x)))
	sn, cs := math.Sincos(f.C * math.Atan(y))
	fall := 1 / (1 + f.Fall*math.Abs(s)*v)
	d *= fall
	u = d * sn
	return u, d*cs*f.C/(1+y*y)*dy - math.Copysign(f.Fall*v*fall, s)*u
}
