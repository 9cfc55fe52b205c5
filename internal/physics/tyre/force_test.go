package tyre

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/reftest"
)

func TestMagicFormula(t *testing.T) {
	// Parameters of Pacejka's table A3.1 (B); values computed elsewhere (D).
	for _, r := range []struct{ fz, slip, force, mu, at10, stiffness float64 }{
		{2000, 0.16526, 2457.000, 1.22850, 2275.620, 38204.26},
		{3000, 0.15610, 3657.750, 1.21925, 3452.629, 60811.13},
		{4000, 0.14730, 4840.000, 1.21000, 4642.134, 86040.00},
		{6000, 0.13068, 7149.000, 1.19150, 7020.217, 145326.26},
		{8000, 0.11527, 9384.000, 1.17300, 9340.219, 218187.06},
	} {
		c := Road205.At(r.fz)
		slip, force := c.Peak()
		near(t, "peak slip", slip, r.slip, 1e-5)
		near(t, "peak force", force, r.force, 1e-3)
		near(t, "peak grip", force/r.fz, r.mu, 1e-6)
		near(t, "force at 0.10", c.Force(0.10), r.at10, 1e-3)
		near(t, "stiffness", c.Stiffness(), r.stiffness, 0.01)
	}
	for _, row := range reftest.Rows(t, "magic_formula_longitudinal.csv") {
		c := Road205.At(row.Num(t, "Fz_N"))
		want := row.Num(t, "Fx_N")
		near(t, "force", c.Force(row.Num(t, "kappa")), want, 1e-6+1e-8*math.Abs(want))
		near(t, "B", c.B, row.Num(t, "Bx"), 1e-6)
		near(t, "E", c.E, row.Num(t, "Ex"), 1e-6)
	}
}

// Whatever the shape, no slip gives more than the peak.
func TestPeakIsThePeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Curve{
			B: rapid.Float64Range(3, 40).Draw(t, "B"), C: rapid.Float64Range(0.8, 2).Draw(t, "C"), D: rapid.Float64Range(500, 9000).Draw(t, "D"),
			E: rapid.Float64Range(-3, 1).Draw(t, "E"), Sh: rapid.Float64Range(-0.01, 0.01).Draw(t, "Sh"),
		}
		slip, force := c.Peak()
		for x := 0.001; x < 50; x *= 1.3 {
			if f := c.Force(x); f > force*(1+1e-9) {
				t.Fatalf("%g N at slip %g over the peak of %g N at %g", f, x, force, slip)
			}
		}
		if !math.IsInf(slip, 0) && math.Abs(c.Force(slip)/force-1) > 1e-9 {
			t.Fatalf("the peak at %g is %g, not %g", slip, c.Force(slip), force)
		}
	})
}

func TestTraction(t *testing.T) {
	const lb, in = 0.45359237 * 9.80665, 0.0254
	rear := Traction{DrivenLoad: 1850 * lb, Mu: 0.62, CGHeight: 21 * in, Wheelbase: 108 * in, Rear: true}
	front := Traction{DrivenLoad: 1950 * lb, Mu: 0.62, CGHeight: 19 * in, Wheelbase: 105 * in}
	openRear, openFront := rear, front
	openRear.Track, openRear.FinalDrive, openRear.Radius, openRear.OtherRoll, openRear.TotalRoll = 59*in, 2.90, 12.59*in, 1150, 1150+280
	openFront.Track, openFront.FinalDrive, openFront.Radius, openFront.OtherRoll, openFront.TotalRoll = 60*in, 3.70, 12.59*in, 620, 950+620
	// Gillespie, chapter 2, worked examples (inputs and answers from memory, C).
	for _, r := range []struct {
		what      string
		c         Traction
		weight    float64 // lb
		force, gs float64 // lb, g
	}{
		{"rear drive, open", openRear, 3950, 1203.8, 0.3048}, {"rear drive, locked", rear, 3950, 1304.2, 0.3302},
		{"front drive, open", openFront, 3100, 1060.6, 0.3421}, {"front drive, locked", front, 3100, 1087.0, 0.3507},
	} {
		f := r.c.Force()
		near(t, r.what, f/lb, r.force, 0.001*r.force)
		near(t, r.what+", g", f/lb/r.weight, r.gs, 0.001*r.gs)
	}
	near(t, "load transfer", LoadTransfer(1700, 1.5*9.80665, 0.5, 2.7), 4630.9, 0.1) // arithmetic, A
	// The answer holds itself up: µ times the load with the transfer of that force.
	f := rear.Force()
	near(t, "closed", f, 0.62*(1850*lb+f*21/108), 1e-6)
	steep := rear
	steep.Mu = 6
	if !math.IsInf(steep.Force(), 1) {
		t.Error("a car that wheelies first has a traction limit")
	}
	near(t, "wheelie", Wheelie(2100*lb, 108*in, 21*in)/lb, 10800, 1e-6)
}
