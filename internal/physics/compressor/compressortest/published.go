package compressortest

import (
	"strconv"
	"strings"
	"testing"

	"traplight/internal/physics/compressor"
	"traplight/internal/reftest"
)

// Published is the compressor of an openly published diesel engine model (Wahlström and
// Eriksson, Proc. IMechE D 225 (2011) 960–986; parameters of the paper's open package), with its
// ambient state. It skips the test where the reference data is not at hand.
func Published(t testing.TB) (Ellipse, compressor.Reference) {
	t.Helper()
	p := Parameters(t)
	one := func(name string) float64 { return p[name][0] }
	return Ellipse{
		Radius: one("R_c"), HeadPol: [3]float64(p["wpsi"]), FlowPol: [3]float64(p["wphi"]), Head0: one("c_psi2"), Flow0: one("c_phi2"),
		Best: one("eta_max"), BestAt: [2]float64{one("w_opt"), one("pi_opt")}, Hill: [2][2]float64{{p["Q"][0], p["Q"][1]}, {p["Q"][2], p["Q"][3]}},
		Bend: one("c_pi"), Gamma: one("gamma_a"), Gas: one("R_a"), Cp: one("c_pa"),
	}, compressor.Reference{Temperature: one("T_amb"), Pressure: one("p_amb")}
}

// Parameters are those of the published model by name, one or several numbers each, in the units
// of the paper (SI, rad/s).
func Parameters(t testing.TB) map[string][]float64 {
	t.Helper()
	p := map[string][]float64{}
	for _, r := range reftest.Rows(t, "mvem_diesel_parameters.csv") {
		var values []float64
		for _, f := range strings.FieldsFunc(r["value"], func(c rune) bool { return strings.ContainsRune("(), ", c) }) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("%s: %v", r["name"], err)
			}
			values = append(values, v)
		}
		p[r["name"]] = values
	}
	return p
}
