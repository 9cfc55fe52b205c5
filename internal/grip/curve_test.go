package grip

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

// samples makes points on a known curve with noise; gears have their own peaks. The
// curve is invented; the formula is the published one.
func samples(seed uint64, top float64) []Sample {
	r := rand.New(rand.NewPCG(seed, 5))
	f := Form{PeakSlip: 0.115, C: 1.35, Fall: 0.01}
	peaks := []float64{1.6, 1.5, 1.45, 1.48}
	const r0, growth = 0.32, 3.4e-6
	var out []Sample
	for i := 0; i < 240; i++ {
		g := 1 + i/60
		v := 8 + float64(i)*0.3
		s := 0.01 + top*r.Float64()
		_, top := f.Top(8 + 0.3*(29.5+60*float64(g-1))) // peaks stand at the gears' mean speeds
		u := f.At(s, v, peaks[g-1]/top) * (1 + 0.01*r.NormFloat64())
		om := v * (1 + s) / (r0 * (1 + growth*v*v)) * (1 + 0.001*r.NormFloat64())
		out = append(out, Sample{V: v, Omega: om, Used: u, Gear: g})
	}
	for i := 0; i < 12; i++ {
		v := 30 + float64(i)*4
		out = append(out, Sample{V: v, Omega: v / (r0 * (1 + growth*v*v)), Used: -0.01})
	}
	return out
}

func problem(s []Sample) *Problem {
	return &Problem{Samples: s, Gears: 4, Radius: quantity.Estimate{Value: 0.324, SD: 0.004}, Growth: quantity.Estimate{Value: 3e-6, SD: 6e-7}}
}

// TestPastPeak: with slips beyond the peak, peaks by gear, rolling radius and peak
// slip are recovered.
func TestPastPeak(t *testing.T) {
	c := Fit(problem(samples(1, 0.3)))
	if !c.OK {
		t.Fatal("no fit")
	}
	for g, want := range []float64{1.6, 1.5, 1.45, 1.48} {
		if got := c.Peak[g].Value; math.Abs(got/want-1) > 0.02 {
			t.Errorf("gear %d: peak %.3f, made with %.3f", g+1, got, want)
		}
	}
	if math.Abs(c.Radius.Value-0.32) > 0.0012 {
		t.Errorf("radius %.4f m, made with 0.3200", c.Radius.Value)
	}
	made := Form{PeakSlip: 0.115, C: 1.35, Fall: 0.01}
	if want, _ := made.Top(c.Mean); math.Abs(c.PeakSlip.Value-want) > 0.015 {
		t.Errorf("peak slip %.3f, made with %.3f", c.PeakSlip.Value, want)
	}
	if math.Abs(c.Form.Fall-made.Fall) > 0.006 {
		t.Errorf("fall %.4f s/m, made with %.4f", c.Form.Fall, made.Fall)
	}
}

// TestBelowPeak: where the peak was never reached the intervals widen and hold the truth.
func TestBelowPeak(t *testing.T) {
	in, n := 0, 0
	for seed := uint64(0); seed < 12; seed++ {
		c := Fit(problem(samples(seed, 0.05)))
		for g, want := range []float64{1.6, 1.5, 1.45, 1.48} {
			n++
			if math.Abs(c.Peak[g].Value-want) < 1.645*c.Peak[g].SD {
				in++
			}
			if c.Peak[g].SD < 0.02 {
				t.Errorf("seed %d gear %d: ± %.3f without ever seeing the peak", seed, g+1, c.Peak[g].SD)
			}
		}
	}
	if in < n*3/4 {
		t.Errorf("%d of %d peaks in their 90 %% interval", in, n)
	}
}

func TestTooFew(t *testing.T) {
	if c := Fit(problem(samples(1, 0.3)[:5])); c.OK {
		t.Error("a curve from five points")
	}
}

// TestForm: At peaks at PeakSlip with the value given, for several C and E, and its
// derivative agrees with differences. Definition of the magic formula, Pacejka,
// Tire and Vehicle Dynamics, ch. 4.
func TestForm(t *testing.T) {
	const v = 30 // m/s
	for _, f := range []Form{{0.1, 1.3, 0, 0}, {0.15, 1.6, -0.8, 0}, {0.08, 1.2, 0.5, 0}, {0.15, 1.4, 0.2, 0.01}, {0.2, 1.2, -0.5, 0.03}} {
		if got := f.At(f.PeakSlip, v, 1.5) * (1 + f.Fall*f.PeakSlip*v); math.Abs(got-1.5) > 1e-9 {
			t.Errorf("%+v: %.6f at the peak", f, got)
		}
		at, top := f.Top(v)
		for s := 0.01; s < 0.5; s += 0.001 {
			if u := f.At(s, v, 1); u > top+1e-4 {
				t.Errorf("%+v: %.5f at slip %.3f, top %.5f at %.4f", f, u, s, top, at)
			}
		}
		b := f.stiffness()
		for _, s := range []float64{0.01, 0.05, 0.2} {
			_, k := f.eval(b, s, v, 1.5)
			want := (f.At(s+1e-6, v, 1.5) - f.At(s-1e-6, v, 1.5)) / 2e-6
			if math.Abs(k-want) > 1e-4*math.Max(1, math.Abs(want)) {
				t.Errorf("%+v at %.2f: slope %.5f, by differences %.5f", f, s, k, want)
			}
		}
	}
}

// TestPublishedTyre holds the curve against the published set of a 205/60R15 road tyre at 2.2 bar
// (Pacejka, Tyre and Vehicle Dynamics, 2nd edition (2006), appendix 3, table A3.1, as in
// references/magic_formula_longitudinal.csv): force and stiffness at five loads, from the slip of
// its peak, which was computed elsewhere and is given to 1e-5.
func TestPublishedTyre(t *testing.T) {
	peaks := map[float64][2]float64{ // by load, N: slip of the peak, 1, and force there, N
		2000: {0.16526, 2457}, 3000: {0.15610, 3657.75}, 4000: {0.14730, 4840}, 6000: {0.13068, 7149}, 8000: {0.11527, 9384},
	}
	rows := 0
	for _, row := range reftest.Rows(t, "magic_formula_longitudinal.csv") {
		load, slip := row.Num(t, "Fz_N"), row.Num(t, "kappa")
		peak, ok := peaks[load]
		if !ok || slip < 0 {
			continue
		}
		rows++
		shift := -0.002 + 0.002*(load-4000)/4000 // of the published slip
		f := Form{PeakSlip: peak[0] + shift, C: 1.685, E: row.Num(t, "Ex")}
		want := row.Num(t, "Fx_N")
		if got := f.At(slip+shift, 0, peak[1]); math.Abs(got-want) > 2e-4*peak[1] {
			t.Errorf("%g N at slip %g: %.2f N, published %.2f", load, slip, got, want)
		}
		if b := row.Num(t, "Bx"); math.Abs(f.stiffness()/b-1) > 2e-4 {
			t.Errorf("%g N: stiffness factor %.4f, published %.4f", load, f.stiffness(), b)
		}
	}
	if rows < 50 {
		t.Fatalf("only %d rows", rows)
	}
}
