package pipe

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestFriction(t *testing.T) {
	for _, c := range []struct {
		name          string
		re, eps, want float64
		tol           float64
	}{
		{"laminar: 64/Re", 1000, 0, 0.064, 1e-12},
		// Smooth pipe: Prandtl's law, of which Colebrook's is the smooth limit; its factor at
		// Re 1e5 is 0.0180 in every textbook's chart (F. M. White, Fluid Mechanics, table of
		// smooth-pipe friction: 4000 0.0399, 1e4 0.0309, 1e5 0.0180, 1e6 0.0116; from memory).
		{"smooth, 4000", 4000, 0, 0.0399, 6e-5},
		{"smooth, 1e4", 1e4, 0, 0.0309, 6e-5},
		{"smooth, 1e5", 1e5, 0, 0.0180, 6e-5},
		{"smooth, 1e6", 1e6, 0, 0.0116, 6e-5},
		// Fully rough: von Kármán's 1/√f = −2·lg(ε/3.7), 0.0379 at ε 0.01 (the same, from memory).
		{"rough", 1e9, 0.01, 0.0379, 6e-5},
	} {
		if got := Friction(c.re, c.eps); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %.5f, want %.5f", c.name, got, c.want)
		}
	}
}

func TestLoss(t *testing.T) {
	// Hagen–Poiseuille in closed form: Δp = 128·µ·L·Q/(π·d⁴).
	f := Flow{Volume: 5e-6, Bore: 8e-3, Length: 4, Density: 780, Viscosity: 1.2e-3}
	if re := f.Reynolds(); re > 2000 {
		t.Fatal(re)
	}
	want := 128 * f.Viscosity * f.Length * f.Volume / (math.Pi * math.Pow(f.Bore, 4))
	if got := f.Loss(); math.Abs(got/want-1) > 1e-12 {
		t.Errorf("laminar: %g, want %g Pa", got, want)
	}
	// Water at 2 m/s in a smooth 50 mm line of 100 m: Re 1e5, f 0.0180, 72 kPa.
	w := Flow{Volume: 2 * math.Pi / 4 * 0.05 * 0.05, Bore: 0.05, Length: 100, Density: 1000, Viscosity: 1e-3}
	if got := w.Loss(); math.Abs(got-72e3) > 300 {
		t.Errorf("turbulent: %.0f Pa", got)
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Flow{
			Volume: rapid.Float64Range(1e-6, 1e-2).Draw(t, "flow"), Length: rapid.Float64Range(0.1, 20).Draw(t, "length"),
			Density: 780, Viscosity: rapid.Float64Range(3e-4, 3e-3).Draw(t, "viscosity"), Roughness: rapid.Float64Range(0, 5e-5).Draw(t, "roughness"),
		}
		loss, v := rapid.Float64Range(1e3, 1e5).Draw(t, "loss"), rapid.Float64Range(0.5, 6).Draw(t, "velocity")
		d := f.BoreFor(loss, v)
		f.Bore = d
		if f.Loss() > loss*1.0001 || f.Velocity() > v*1.0001 {
			t.Fatalf("bore %g m: %g Pa, %g m/s", d, f.Loss(), f.Velocity())
		}
		f.Bore = d * 0.999
		if f.Loss() < loss && f.Velocity() < v {
			t.Fatalf("a smaller bore than %g m would do", d)
		}
		f.Bore = d * 1.5
		if f.Loss() > loss {
			t.Fatal("a wider line loses more")
		}
	})
}
