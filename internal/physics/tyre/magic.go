package tyre

import "math"

// Curve is a magic formula for longitudinal force at one load:
//
//	F = D·sin(C·atan(Bx − E(Bx − atan Bx))) + Sv,  x = κ + Sh
//
// Source: H. B. Pacejka, Tyre and Vehicle Dynamics, 2nd edition (2006), chapter 4.
type Curve struct {
	B  float64 // 1, stiffness factor
	C  float64 // 1, shape factor
	D  float64 // N, peak factor (or 1, when the curve is of grip)
	E  float64 // 1, curvature factor
	Sh float64 // 1, shift of slip
	Sv float64 // N, shift of force
}

// Force returns the longitudinal force, N, at slip kappa, 1: wheel speed times rolling
// radius over road speed, less one.
func (c Curve) Force(kappa float64) float64 {
	x := c.B * (kappa + c.Sh)
	return c.D*math.Sin(c.C*math.Atan(x-c.E*(x-math.Atan(x)))) + c.Sv
}

// Stiffness returns the slope, N, of force over slip at slip −Sh.
func (c Curve) Stiffness() float64 { return c.B * c.C * c.D }

// Peak returns the slip, 1, of the highest driving force and that force, N. For a
// shape factor of 1 or less, or a curvature that keeps the sine from reaching its top, the
// force grows without a peak: then the slip is +Inf and the force the limit.
func (c Curve) Peak() (kappa, force float64) {
	if c.C > 1 {
		// sin reaches 1 when its argument is π/2: solve y = tan(π/2C) for x.
		want := math.Tan(math.Pi / (2 * c.C))
		f := func(x float64) float64 { return x - c.E*(x-math.Atan(x)) }
		hi := 1.0
		for f(hi) < want && hi < 1e6 {
			hi *= 2
		}
		if f(hi) >= want {
			lo := 0.0
			for i := 0; i < 200 && hi-lo > 1e-14*hi; i++ {
				if mid := (lo + hi) / 2; f(mid) < want {
					lo = mid
				} else {
					hi = mid
				}
			}
			return (lo+hi)/2/c.B - c.Sh, c.D + c.Sv
		}
	}
	limit := math.Pi / 2
	if c.E >= 1 {
		limit = math.Atan(math.Pi / 2) // x − (x − atan x)
	}
	return math.Inf(1), c.D*math.Sin(math.Min(c.C*limit, math.Pi/2)) + c.Sv
}

// LoadCurve gives a Curve for any load: the pure longitudinal part of the magic
// formula, with the parameter names of the textbook (all 1, but for NominalLoad).
type LoadCurve struct {
	NominalLoad            float64 // N
	PCx1                   float64 // 1
	PDx1, PDx2             float64 // 1; PDx2 is the load sensitivity: change of peak grip for 100 % more load
	PEx1, PEx2, PEx3, PEx4 float64 // 1
	PKx1, PKx2, PKx3       float64 // 1
	PHx1, PHx2             float64 // 1
	PVx1, PVx2             float64 // 1
}

// At returns the curve at vertical load fz, N, for driving slip. The sign of PKx3 is the
// one printed for the textbook's table A3.1.
func (l LoadCurve) At(fz float64) Curve {
	df := (fz - l.NominalLoad) / l.NominalLoad
	c := Curve{C: l.PCx1, D: (l.PDx1 + l.PDx2*df) * fz, Sh: l.PHx1 + l.PHx2*df, Sv: fz * (l.PVx1 + l.PVx2*df)}
	k := fz * (l.PKx1 + l.PKx2*df) * math.Exp(l.PKx3*df)
	c.B = k / (c.C * c.D)
	c.E = (l.PEx1 + df*(l.PEx2+l.PEx3*df)) * (1 - l.PEx4)
	return c
}

// Road205 is the published set of a 205/60R15 91V road tyre at 2.2 bar (Pacejka 2006,
// appendix 3, table A3.1, second-hand through open codes). It is a check and an example
// of the shape; no car here is assumed to run on it.
var Road205 = LoadCurve{
	NominalLoad: 4000, PCx1: 1.685, PDx1: 1.210, PDx2: -0.037, PEx1: 0.344, PEx2: 0.095, PEx3: -0.020,
	PKx1: 21.51, PKx2: -0.163, PKx3: 0.245, PHx1: -0.002, PHx2: 0.002,
}
