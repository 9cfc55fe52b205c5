package compressor

import "math"

// AirFlow returns the air that a four-stroke engine takes in, kg/s, by speed and density:
// volumetric efficiency ve, 1 (against the manifold's density), manifold pressure p, Pa,
// displacement, m³, engine speed w, rad/s, and charge temperature t, K. (Definition of
// the volumetric efficiency; Heywood (1988), 2.10.)
func AirFlow(ve, p, displacement, w, t float64) float64 {
	return ve * p * displacement * w / (4 * math.Pi) / (GasAir * t)
}

// MeanPressure returns the brake mean effective pressure, Pa, of a four-stroke engine of
// that displacement, m³, at crank torque, N·m (Heywood (1988), 2.7).
func MeanPressure(torque, displacement float64) float64 {
	return 4 * math.Pi * torque / displacement
}
