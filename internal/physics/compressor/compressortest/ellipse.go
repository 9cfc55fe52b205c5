// Package compressortest is a compressor by formula for checks, and the published one of an
// open engine model.
package compressortest

import "math"

// Ellipse is the compressor of a mean-value engine model: flow from pressure ratio and
// speed along an ellipse in the plane of head and flow coefficients, efficiency as a hill.
//
// Source: J. Wahlström and L. Eriksson, "Modelling diesel engines with a
// variable-geometry turbocharger and exhaust gas recirculation by optimization of model
// parameters for capturing non-linear system dynamics", Proc. IMechE D 225 (2011) 960–986
// (equations from memory).
type Ellipse struct {
	Radius  float64       // m, of the wheel
	HeadPol [3]float64    // coefficients of ω² (s²), ω (s) and 1 of the ellipse's weight of head, 1
	FlowPol [3]float64    // the same for its weight of flow, 1
	Head0   float64       // 1, head coefficient of the ellipse's centre
	Flow0   float64       // 1, flow coefficient of the ellipse's centre
	Best    float64       // 0–1, highest efficiency
	BestAt  [2]float64    // flow, kg/s, and (pr − 1)^Bend, 1, where it lies
	Hill    [2][2]float64 // curvature of the efficiency: (kg/s)⁻², (kg/s)⁻¹ and 1
	Bend    float64       // 1, exponent of the pressure ratio in the hill
	Gamma   float64       // 1, ratio of specific heats
	Gas     float64       // J/(kg·K), gas constant
	Cp      float64       // J/(kg·K)
}

// Head returns the head coefficient Ψ, 1, at speed w, rad/s, pressure ratio pr, 1, and
// inlet temperature t, K.
func (e Ellipse) Head(w, pr, t float64) float64 {
	u := e.Radius * w
	return 2 * e.Cp * t * (math.Pow(pr, 1-1/e.Gamma) - 1) / (u * u)
}

// FlowCoefficient returns Φ, 1, at the same; 0 where the wheel is too slow for that pressure
// ratio.
func (e Ellipse) FlowCoefficient(w, pr, t float64) float64 {
	c1 := (e.HeadPol[0]*w+e.HeadPol[1])*w + e.HeadPol[2]
	c2 := (e.FlowPol[0]*w+e.FlowPol[1])*w + e.FlowPol[2]
	d := e.Head(w, pr, t) - e.Head0
	r := (1 - c1*d*d) / c2
	if !(r > 0) {
		return math.Max(0, e.Flow0)
	}
	return math.Sqrt(r) + e.Flow0
}

// Flow returns the mass flow, kg/s, at speed w, rad/s, pressure ratio pr, 1, inlet
// temperature t, K, and pressure p, Pa.
func (e Ellipse) Flow(w, pr, t, p float64) float64 {
	return p * math.Pi * e.Radius * e.Radius * e.Radius * w / (e.Gas * t) * e.FlowCoefficient(w, pr, t)
}

// Efficiency returns the isentropic efficiency, 1, at flow, kg/s, and pressure ratio pr,
// 1; never below 0.1, where the hill has no meaning.
func (e Ellipse) Efficiency(flow, pr float64) float64 {
	x := [2]float64{flow - e.BestAt[0], math.Pow(math.Max(pr-1, 0), e.Bend) - e.BestAt[1]}
	eta := e.Best
	for i := range x {
		for j := range x {
			eta -= x[i] * e.Hill[i][j] * x[j]
		}
	}
	return math.Max(eta, 0.1)
}
