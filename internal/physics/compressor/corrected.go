package compressor

import "math"

// Reference is the inlet state to which a map's flow and speed are corrected. A map is
// worthless without it.
type Reference struct {
	Temperature float64 // K
	Pressure    float64 // Pa absolute
}

// Reference states in use. J1826 and J922 are from memory.
var (
	ReferenceJ1826    = Reference{298, 100e3}        // SAE J1826
	ReferenceJ922     = Reference{302.6, 96.17e3}    // SAE J922 and much US practice: 85 °F, 28.4 inHg
	ReferenceStandard = Reference{288.15, 101.325e3} // gas-turbine tables
)

// Flow returns the corrected flow, kg/s, of a true flow w, kg/s, at inlet temperature
// t, K, and pressure p, Pa.
func (r Reference) Flow(w, t, p float64) float64 {
	return w * math.Sqrt(t/r.Temperature) / (p / r.Pressure)
}

// TrueFlow is the inverse of Flow: kg/s from corrected kg/s at t, K, and p, Pa.
func (r Reference) TrueFlow(corrected, t, p float64) float64 {
	return corrected / math.Sqrt(t/r.Temperature) * (p / r.Pressure)
}
