// Package odetest holds initial value problems with known answers, for testing
// integrators. Each says where its answer comes from.
package odetest

import "math"

// Problem is an initial value problem with its solution at the end.
type Problem struct {
	Name   string
	F      func(t float64, y, dydt []float64)
	From   float64   // in t's unit
	To     float64   // in t's unit
	Y0     []float64 // in the components' units
	Want   []float64 // at To, in the components' units
	Digits float64   // count of decimal digits to which Want is known
	Source string
}

// Decay is y' = -y.
func Decay() Problem {
	return Problem{Name: "decay", F: func(_ float64, y, d []float64) { d[0] = -y[0] },
		To: 10, Y0: []float64{1}, Want: []float64{math.Exp(-10)}, Digits: 15, Source: "exact"}
}

// Logistic is y' = y/4 (1 - y/20), problem A4 of DETEST.
func Logistic() Problem {
	return Problem{Name: "logistic", F: func(_ float64, y, d []float64) { d[0] = y[0] / 4 * (1 - y[0]/20) },
		To: 20, Y0: []float64{1}, Want: []float64{20 / (1 + 19*math.Exp(-5))}, Digits: 15,
		Source: "exact; Hull, Enright, Fellen, Sedgwick, SIAM J. Numer. Anal. 9 (1972) 603, A4 (from memory)"}
}

// TwoBody is DETEST class D: the two-body problem of eccentricity e, 0–1, from the
// perihelion, t 0 to 20; the answer follows from Kepler's equation.
func TwoBody(e float64) Problem {
	E := 20.0
	for range 200 {
		E -= (E - e*math.Sin(E) - 20) / (1 - e*math.Cos(E))
	}
	s, c := math.Sincos(E)
	q := math.Sqrt(1 - e*e)
	r := 1 - e*c
	return Problem{Name: "two-body", From: 0, To: 20,
		Y0: []float64{1 - e, 0, 0, math.Sqrt((1 + e) / (1 - e))},
		F: func(_ float64, y, d []float64) {
			r2 := y[0]*y[0] + y[1]*y[1]
			r3 := r2 * math.Sqrt(r2)
			d[0], d[1], d[2], d[3] = y[2], y[3], -y[0]/r3, -y[1]/r3
		},
		Want: []float64{c - e, q * s, -s / r, q * c / r}, Digits: 13, Source: "Kepler's equation; DETEST class D"}
}

// HIRES is the mildly stiff reaction of Schäfer as in the Test Set for IVP Solvers.
func HIRES() Problem {
	return Problem{Name: "HIRES", To: 321.8122,
		Y0: []float64{1, 0, 0, 0, 0, 0, 0, 0.0057},
		F: func(_ float64, y, d []float64) {
			v := 280 * y[5] * y[7]
			d[0] = -1.71*y[0] + 0.43*y[1] + 8.32*y[2] + 0.0007
			d[1] = 1.71*y[0] - 8.75*y[1]
			d[2] = -10.03*y[2] + 0.43*y[3] + 0.035*y[4]
			d[3] = 8.32*y[1] + 1.71*y[2] - 1.12*y[3]
			d[4] = -1.745*y[4] + 0.43*y[5] + 0.43*y[6]
			d[5] = -v + 0.69*y[3] + 1.71*y[4] - 0.43*y[5] + 0.69*y[6]
			d[6] = v - 1.81*y[6]
			d[7] = -v + 1.81*y[6]
		},
		Want: []float64{0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4, 0.1175651343283149e-2,
			0.2386356198831331e-2, 0.6238968252742796e-2, 0.2849998395185769e-2, 0.2850001604814231e-2},
		Digits: 12, Source: "Mazzia and Magherini, Test Set for IVP Solvers"}
}

// Arenstorf is the closed orbit of the restricted three-body problem: it
// returns to where it began.
func Arenstorf() Problem {
	const mu = 0.012277471
	y0 := []float64{0.994, 0, 0, -2.00158510637908}
	return Problem{Name: "Arenstorf", To: 17.0652165601579625589, Y0: y0, Want: y0, Digits: 9,
		F: func(_ float64, y, d []float64) {
			a := y[0] + mu
			b := y[0] - 1 + mu
			d1 := math.Pow(a*a+y[1]*y[1], 1.5)
			d2 := math.Pow(b*b+y[1]*y[1], 1.5)
			d[0], d[1] = y[2], y[3]
			d[2] = y[0] + 2*y[3] - (1-mu)*a/d1 - mu*b/d2
			d[3] = y[1] - 2*y[2] - (1-mu)*y[1]/d1 - mu*y[1]/d2
		},
		Source: "Test Set for IVP Solvers; Hairer, Nørsett, Wanner I, II.0 (from memory)"}
}

// LotkaVolterra returns the problem and its invariant, which a good solution keeps.
func LotkaVolterra() (Problem, func(y []float64) float64) {
	p := Problem{Name: "Lotka–Volterra", To: 30, Y0: []float64{1, 1},
		F: func(_ float64, y, d []float64) {
			d[0] = 1.5*y[0] - y[0]*y[1]
			d[1] = -3*y[1] + y[0]*y[1]
		}, Source: "invariant, exact"}
	return p, func(y []float64) float64 { return y[0] - 3*math.Log(y[0]) + y[1] - 1.5*math.Log(y[1]) }
}
