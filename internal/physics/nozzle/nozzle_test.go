package nozzle

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/reftest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

// TestStream holds the flow function to the subsonic stream of NACA Report 1135 (1953), γ =
// 1.4 (trust A): at a static over a stagnation pressure the mass flow by area is to the choked
// one as the throat's area is to the stream's.
func TestStream(t *testing.T) {
	for _, r := range []struct{ p, area float64 }{{0.93947, 2.0351}, {0.84302, 1.3398}, {0.65602, 1.0382}, {0.52828, 1}} {
		near(t, "A/A*", Function(0, 1.4)/Function(r.p, 1.4), r.area, 1e-4)
	}
}

func TestOrifice(t *testing.T) {
	// Heywood's law evaluated elsewhere (D); the critical ratio of 1.4 is NACA 1135's.
	for _, r := range []struct{ gamma, critical, psi float64 }{{1.40, 0.52828, 0.68473}, {1.35, 0.53685, 0.67614}, {1.33, 0.54036, 0.67263}, {1.30, 0.54573, 0.66726}} {
		near(t, "critical ratio", Critical(r.gamma), r.critical, 1e-5)
		near(t, "choked Ψ", Function(0.1, r.gamma), r.psi, 1e-5)
	}
	// Air, choked: 241.24 kg/(s·m²) at 101 325 Pa and 288.15 K (textbooks; A).
	near(t, "choked air", MassFlow(1, 101325, 0, 288.15, 1.4, 287.05), 241.24, 0.02)
	// A wastegate: 0.3 kg/s at 300 kPa, 1150 K, γ 1.33, R 287: 8.541 cm² (D).
	near(t, "wastegate", Area(0.3, 300e3, 101e3, 1150, 1.33, 287), 8.541e-4, 1e-7)
	for _, row := range reftest.Rows(t, "orifice_isentropic.csv") { // D
		g, gas, p0, T0, pr := row.Num(t, "gamma"), row.Num(t, "R_J_kgK"), row.Num(t, "p0_Pa"), row.Num(t, "T0_K"), row.Num(t, "p_ratio_down_up")
		near(t, "Ψ", Function(pr, g), row.Num(t, "Psi"), 1e-7)
		near(t, "mass flow", MassFlow(1e-3, p0, pr*p0, T0, g, gas), row.Num(t, "mdot_kg_s_for_CdA_1e-3_m2"), 1e-7)
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(1.2, 1.67).Draw(t, "gamma")
		area := rapid.Float64Range(1e-5, 1e-2).Draw(t, "area")
		temp := rapid.Float64Range(250, 1300).Draw(t, "temperature")
		down := rapid.Float64Range(5e4, 4e5).Draw(t, "down")
		up := down * rapid.Float64Range(1.001, 6).Draw(t, "ratio")
		flow := MassFlow(area, up, down, temp, g, 287)
		if back := Upstream(flow, area, down, temp, g, 287); math.Abs(back/up-1) > 1e-6 {
			t.Fatalf("upstream pressure %g came back as %g", up, back)
		}
		if back := Area(flow, up, down, temp, g, 287); math.Abs(back/area-1) > 1e-12 {
			t.Fatalf("area %g came back as %g", area, back)
		}
		if more := MassFlow(area, up*1.01, down, temp, g, 287); more <= flow {
			t.Fatal("more pressure does not drive more flow")
		}
	})
	if MassFlow(1, 1e5, 1e5, 300, 1.4, 287) != 0 || MassFlow(1, 1e5, 2e5, 300, 1.4, 287) != 0 {
		t.Error("flow without or against a pressure difference")
	}
	if !math.IsNaN(Area(0.1, 1e5, 1e5, 300, 1.4, 287)) || !math.IsNaN(Upstream(0.1, 0, 1e5, 300, 1.4, 287)) {
		t.Error("an impossible question was answered")
	}
}
