package compressortest

import (
	"math"
	"testing"

	"traplight/internal/physics/compressor"
	"traplight/internal/reftest"
)

// The open diesel model's compressor: parameters as published with the paper's open
// package (B), points computed by another implementation (D).
func TestEllipse(t *testing.T) {
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
		}
	}
	e, at := Published(t)
	for _, r := range reftest.Rows(t, "mvem_diesel_compressor.csv") {
		w, pr := r.Num(t, "omega_rad_s"), r.Num(t, "pressure_ratio")
		near("Ψ", e.Head(w, pr, at.Temperature), r.Num(t, "Psi"), 1e-6)
		near("Φ", e.FlowCoefficient(w, pr, at.Temperature), r.Num(t, "Phi"), 1e-6)
		flow := e.Flow(w, pr, at.Temperature, at.Pressure)
		near("flow", flow, r.Num(t, "W_kg_s"), 1e-6)
		eta := e.Efficiency(flow, pr)
		near("efficiency", eta, r.Num(t, "eta"), 1e-6)
		near("outlet", compressor.Outlet(at.Temperature, pr, eta, e.Gamma), r.Num(t, "T_out_K"), 1e-3)
	}
	// The model's engine (D).
	p := Parameters(t)
	for _, r := range reftest.Rows(t, "mvem_diesel_airflow.csv") {
		pim, n, ve := r.Num(t, "p_im_Pa"), r.Num(t, "n_rpm")*math.Pi/30, r.Num(t, "eta_vol")
		got := compressor.AirFlow(ve, pim, p["V_d"][0], n, p["T_im"][0]) * compressor.GasAir / p["R_a"][0]
		near("air flow", got, r.Num(t, "W_air_kg_s"), 1e-6)
	}
}
