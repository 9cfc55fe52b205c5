package compressor

import "math"

// AirFlow returns the air that a four-stroke engine takes in, kg/s, by speed and density:
// volumetric efficiency ve, 1 (against the manifold's density), manifold pressure p, Pa,
// displacement, m³, engine speed w, rad/s, and charge temperature t, K. (Definition of
// the volumetric efficiency; Heywood (1988), 2.10.)
func AirFlow(ve, p, displacement, w, t float64) float64 {
	return ve * p * displacement * w / (4 * math.Pi) / (GasAir * t)
}

// VolumetricEfficiency is the inverse of AirFlow, 1, from a flow, kg/s.
func VolumetricEfficiency(flow, p, displacement, w, t float64) float64 {
	return flow / AirFlow(1, p, displacement, w, t)
}

// MeanPressure returns the brake mean effective pressure, Pa, of a four-stroke engine of
// that displacement, m³, at crank torque, N·m (Heywood (1988), 2.7).
func MeanPressure(torque, displacement float64) float64 {
	return 4 * math.Pi * torque / displacement
}

// OttoEfficiency returns the efficiency, 1, of the ideal cycle with combustion at
// constant volume at compression ratio rc, 1, and ratio of specific heats gamma, 1. An upper
// bound that no engine reaches.
func OttoEfficiency(rc, gamma float64) float64 { return 1 - math.Pow(rc, 1-gamma) }
