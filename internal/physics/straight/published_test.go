package straight

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/reftest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g ± %.2g", what, got, want, tol)
	}
}

const mph = 0.44704 // m/s

func TestClosedForms(t *testing.T) {
	inf := math.Inf(1)
	// Closed forms checked elsewhere against an integration with tolerance 1e-11 (A).
	for _, row := range reftest.Rows(t, "constant_power.csv") {
		p := Push{Mass: row.Num(t, "mass_kg"), Force: inf, Power: row.Num(t, "power_W")}
		v, tm := p.At(row.Num(t, "distance_m"))
		near(t, "speed", v, row.Num(t, "speed_m_s"), 1e-6)
		near(t, "time", tm, row.Num(t, "time_s"), 1e-6)
	}
	for _, row := range reftest.Rows(t, "two_phase_drag.csv") {
		p := Push{Mass: row.Num(t, "mass_kg"), Force: row.Num(t, "traction_force_N"), Power: row.Num(t, "power_W"), Drag: row.Num(t, "k_half_rho_CdA")}
		x := row.Num(t, "distance_m")
		v, tm := p.At(x)
		near(t, "speed", v, row.Num(t, "speed_m_s"), 1e-6)
		near(t, "time", tm, row.Num(t, "time_s"), 1e-6)
		if p.Force*v > p.Power*1.001 || math.IsInf(p.Force, 1) { // else the tyres set the speed
			near(t, "power", p.PowerFor(v, x), p.Power, 1e-6*p.Power)
		}
	}
	// Constant force 12 kN with drag 0.45, 1600 kg: 5 and 10 s (A).
	p := Push{Mass: 1600, Force: 12000, Power: inf, Drag: 0.45}
	for _, r := range []struct{ t, v, x float64 }{{5, 36.854434, 92.937430}, {10, 70.136511, 362.513529}} {
		v, tm := p.At(r.x)
		near(t, "speed by force", v, r.v, 1e-6)
		near(t, "time by force", tm, r.t, 1e-6)
	}
	// Fox, Am. J. Phys. 41 (1973) 311: at constant power without drag speed times time is
	// 1350 mph·s at the quarter and 2700 at the half mile (A).
	q := Push{Mass: 1600, Force: inf, Power: 1e6}
	v, tm := q.At(402.336)
	near(t, "mph times s", v/mph*tm, 1350, 1e-6)
	v, tm = q.At(804.672)
	near(t, "mph times s, half mile", v/mph*tm, 2700, 1e-6)
	// A rule drawn from many cars, 234·(hp/lb)^(1/3) mph at the quarter mile (coefficients
	// remembered, found in public codes, B): plausibility within 20 %, always below the
	// loss-free figure.
	for _, r := range []struct{ lb, hp, mph float64 }{{3000, 300, 108.613}, {3500, 1000, 154.120}} {
		free := Push{Mass: r.lb * 0.45359237, Force: inf, Power: r.hp * 745.69987158227}
		v, _ := free.At(402.336)
		if got := v / mph; got < r.mph || got > 1.25*r.mph {
			t.Errorf("%g lb, %g hp: %.1f mph without losses, a rule for real cars says %.1f", r.lb, r.hp, got, r.mph)
		}
	}
	// Power-limited acceleration: 200 hp, 3600 lb, 60 mph: 0.34722 g (Gillespie ch. 2; A).
	near(t, "g", 200*550/(60*mph/0.3048*3600), 0.34722, 1e-5)
}

func TestCoast(t *testing.T) {
	tm, x := Resistance{F0: 150, F2: 0.4}.Slow(1500, 80, 20) // closed form, A
	near(t, "time", tm, 102.977414, 1e-6)
	near(t, "distance", x, 4065.2468, 1e-3)
	r := Resistance{140, 1.5, 0.42} // numerical elsewhere, D
	for _, c := range []struct{ v1, v2, want float64 }{{70 * mph, 65 * mph, 6.087005}, {55 * mph, 50 * mph, 8.500348}, {115 / 3.6, 15 / 3.6, 153.886517}} {
		tm, _ := r.Slow(1545, c.v1, c.v2)
		near(t, "time", tm, c.want, 1e-5)
	}
	rows := reftest.Rows(t, "coastdown.csv")
	for i := 1; i < len(rows); i++ { // D
		tm, _ := r.Slow(1545, rows[i-1].Num(t, "v_m_s"), rows[i].Num(t, "v_m_s"))
		near(t, "step", tm, rows[i].Num(t, "t_s")-rows[i-1].Num(t, "t_s"), 1e-6)
	}
	// Arithmetic of v²/2a (A): metres from 200, 220 and 250 mph at 0.4, 0.5 and 0.6 g.
	for _, c := range []struct {
		mph  float64
		want [3]float64
	}{{200, [3]float64{1018.9, 815.1, 679.3}}, {220, [3]float64{1232.9, 986.3, 821.9}}, {250, [3]float64{1592.1, 1273.7, 1061.4}}} {
		for i, g := range []float64{0.4, 0.5, 0.6} {
			near(t, "stop", StoppingDistance(c.mph*mph, g*9.80665), c.want[i], 0.06)
		}
	}
	if tm, _ := r.Slow(1545, 20, 30); !math.IsInf(tm, 1) {
		t.Error("a coasting car speeds up")
	}
	if tm, x := (Resistance{F0: -10, F2: 0.1}).Slow(1500, 30, 5); !math.IsInf(tm, 1) || !math.IsInf(x, 1) {
		t.Error("a car that is pushed slows down")
	}
}

func TestEffectiveMass(t *testing.T) {
	// Gillespie, chapter 2, example 1: inputs from a public course file that cites it
	// (B), answers computed (the printed 2290 lb at 26.4 mph and 537 lb at 113 mph from
	// memory, C).
	const lbfInS2, lbfFt, lbf, in = 0.1129848290, 1.3558179483314, 4.4482216152605, 0.0254
	gears := []float64{4.28, 2.79, 1.83, 1.36, 1.00}
	inertia := []float64{1.3, 0.9, 0.7, 0.5, 0.3}
	eta := []float64{0.966, 0.967, 0.972, 0.973, 0.970}
	one := []float64{349.23, 134.06, 64.06, 41.73, 30.61}
	both := []float64{360.23, 145.06, 75.06, 52.73, 41.61}
	fx := []float64{2289.8, 1494.2, 985.1, 732.9, 537.2}
	speed := []float64{26.37, 40.46, 61.68, 83.00, 112.88}
	factor := []float64{1.3510, 1.1413, 1.0731, 1.0514, 1.0405}
	rough := []float64{1.4305, 1.2059, 1.1114, 1.0794, 1.0613}
	radius := 12.59 * in
	for i := range gears {
		r := Rotating{Engine: 0.8 * lbfInS2, Gearbox: inertia[i] * lbfInS2, FinalDrive: 1.2 * lbfInS2, Wheels: 11 * lbfInS2, Gear: gears[i], Final: 2.92}
		near(t, "one axle", r.AtWheels()/lbfInS2, one[i], 0.0005*one[i])
		r.Wheels *= 2
		near(t, "both axles", r.AtWheels()/lbfInS2, both[i], 0.0005*both[i])
		near(t, "mass factor", r.MassFactor(2500*0.45359237, radius), factor[i], 0.0005*factor[i])
		near(t, "rough", MassFactorRough(gears[i]*2.92), rough[i], 0.0005*rough[i])
		near(t, "force", 201*lbfFt*gears[i]*2.92*eta[i]*0.99/radius/lbf, fx[i], 0.0005*fx[i])
		near(t, "speed", 4400*math.Pi/30/(gears[i]*2.92)*radius/mph, speed[i], 0.0005*speed[i])
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Push{
			Mass: rapid.Float64Range(600, 2500).Draw(t, "mass"), Force: rapid.Float64Range(3e3, 4e4).Draw(t, "force"),
			Power: rapid.Float64Range(5e4, 2e6).Draw(t, "power"), Drag: rapid.Float64Range(0, 1).Draw(t, "drag"),
		}
		// The path's own slope: dv/dt is net force over mass, dx/dt is v.
		x := rapid.Float64Range(1, 1600).Draw(t, "x")
		h := 1e-3
		v1, t1 := p.At(x - h)
		v2, t2 := p.At(x + h)
		v, _ := p.At(x)
		if math.Abs(2*h/(t2-t1)/v-1) > 1e-4 {
			t.Fatalf("dx/dt = %g, v = %g", 2*h/(t2-t1), v)
		}
		// where the phases change, the slope has a corner
		if math.Abs(v*p.Force/p.Power-1) > 1e-3 {
			a := (math.Min(p.Force, p.Power/v) - p.Drag*v*v) / p.Mass
			if got := (v2*v2 - v1*v1) / (4 * h); math.Abs(got-a) > 1e-3*math.Abs(a)+1e-5 {
				t.Fatalf("a = %g, want %g", got, a)
			}
		}
		r := Resistance{rapid.Float64Range(50, 1e4).Draw(t, "f0"), rapid.Float64Range(-1, 60).Draw(t, "f1"), rapid.Float64Range(0, 1).Draw(t, "f2")}
		hi := rapid.Float64Range(10, 110).Draw(t, "from")
		mid := hi * rapid.Float64Range(0.3, 0.9).Draw(t, "by way of")
		ta, xa := r.Slow(1500, hi, mid)
		tb, xb := r.Slow(1500, mid, 1)
		tc, xc := r.Slow(1500, hi, 1)
		if !math.IsInf(tc, 1) && (math.Abs(ta+tb-tc) > 1e-6*tc || math.Abs(xa+xb-xc) > 1e-5*xc) {
			t.Fatalf("two legs %g s %g m, one %g s %g m", ta+tb, xa+xb, tc, xc)
		}
	})
}
