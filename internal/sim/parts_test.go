package sim_test

import (
	"math"
	"testing"

	"traplight/internal/num/ode"
	"traplight/internal/reftest"
	"traplight/internal/sim"
	"traplight/internal/sim/gastest"
	"traplight/internal/sim/simtest"
)

// The claim under the reduced model: isentropic head per tip speed squared
// stays near constant. In the published diesel set (Wahlström and Eriksson,
// Proc. IMechE D 225 (2011)) it is the head coefficient Ψ; over the points where
// the compressor works with more than 0.65 efficiency it stays within ±15 %.
func TestWorkCoefficient(t *testing.T) {
	lo, hi, n := math.Inf(1), 0.0, 0
	for _, r := range reftest.Rows(t, "mvem_diesel_compressor.csv") {
		if r.Num(t, "eta") > 0.65 {
			psi := r.Num(t, "Psi")
			lo, hi = min(lo, psi), max(hi, psi)
			n++
		}
	}
	if n < 3 || hi/lo > 1.3 {
		t.Errorf("%d points, Ψ from %.3f to %.3f", n, lo, hi)
	}
}

// A rotor of the published gasoline set (J 1.252e-4 kg·m²) under 5 kW reaches
// 12000 from 3000 rad/s in 1.6902 s (references, turbo.md: J·ω·dω/dt = P). The
// reduced model with the compressor unloaded must accelerate by the same law:
// here its turbine gives constant power, since flow and expansion are held.
func TestRotorInertia(t *testing.T) {
	parts := gastest.Parts{Inertia: 1.252e-4, WorkPerSpeed: 3e-4, CompEff: 0.73, TurbEff: 0.64, ExhaustTemp: 1100, TurbineArea: 4.9e-4,
		Ambient: 293, Barometer: 101300, Displacement: 0.001953, Volumetric: 0.9, FuelPerAir: 1 / 14.0}
	b := parts.Boost()
	// turbine power, W, at flow m (of the reference): flow·cp·T·Work·g/CompEff
	const m = 1.0
	q := b.Swallow * m
	g := 1 - math.Pow(1+q*q, -0.124)
	power := sim.ReferenceFlow(parts.Volumetric, parts.Displacement) * m * 1005 * parts.Ambient * b.Work * g / parts.CompEff
	head := func(w float64) float64 { return parts.WorkPerSpeed * w * w / (1005 * parts.Ambient) }
	// time for the head to rise between the two speeds without compressor load
	rate := b.Rate * m * b.Work * g
	got := (head(12000) - head(3000)) / rate
	want := 1.6902 * 5000 / power
	if math.Abs(got/want-1) > 1e-4 {
		t.Errorf("%.5f s, want %.5f s", got, want)
	}
}

// The reduced model against the full equations of rotor, compressor by constant
// work coefficient and turbine nozzle, for the published gasoline set with the
// wastegate shut at 5500 rpm, from a pressure ratio of 1.6: the rise of head in
// 0.4 s within 15 % (ellipse law against a single nozzle).
func TestReducedAgainstNozzle(t *testing.T) {
	const speed = 5500 * math.Pi / 30
	parts := gastest.Parts{Inertia: 1.252e-4, WorkPerSpeed: 0.6 * 0.0197 * 0.0197, CompEff: 0.72, TurbEff: 0.62, ExhaustTemp: 1100, TurbineArea: 4.9e-4,
		Ambient: 293, Barometer: 101300, Displacement: 0.001953, Volumetric: 0.9, FuelPerAir: 1 / 14.0}
	c := simtest.Invented()
	c.Boost = parts.Boost()
	c.Boost.Unlimited = true
	// full equations: isentropic nozzle flow solved for the expansion ratio
	full := func(_ float64, y, d []float64) {
		w := y[0]
		h := parts.WorkPerSpeed * w * w / (1005 * 293)
		p := sim.Pressure(101300, h)
		air := parts.Volumetric * parts.Displacement / 2 * speed / (2 * math.Pi) * p / (287.05 * sim.RefCharge)
		exh := air * (1 + parts.FuelPerAir)
		lo, hi := 1.0, 8.0
		for range 60 {
			pi := (lo + hi) / 2
			if nozzle(pi)*parts.TurbineArea*pi*101300/math.Sqrt(287*1100) < exh {
				lo = pi
			} else {
				hi = pi
			}
		}
		turb := exh * 1150 * 1100 * parts.TurbEff * (1 - math.Pow(lo, -0.33/1.33))
		comp := air * 1005 * 293 * h / parts.CompEff
		d[0] = (turb - comp) / (parts.Inertia * w)
	}
	head := func(w float64) float64 { return parts.WorkPerSpeed * w * w / (1005 * 293) }
	w0 := math.Sqrt(sim.Head(1, 1.6) * 1005 * 293 / parts.WorkPerSpeed)
	sol, err := ode.Solve(full, ode.Span{To: 0.4}, []float64{w0}, ode.Config{})
	if err != nil {
		t.Fatal(err)
	}
	red := func(_ float64, y, d []float64) {
		p := sim.Pressure(101300, y[0])
		m := speed / sim.RefSpeed * p / sim.RefPressure
		q := c.Boost.Swallow * m
		d[0] = c.Boost.Rate * m * (c.Boost.Work*(1-math.Pow(1+q*q, -0.124)) - y[0])
	}
	sol2, _ := ode.Solve(red, ode.Span{To: 0.4}, []float64{head(w0)}, ode.Config{})
	a, b := head(sol.EndY[0])-head(w0), sol2.EndY[0]-head(w0)
	t.Logf("rise of head in 0.4 s: nozzle %.4f (pressure ratio %.2f), reduced %.4f", a, sim.Pressure(1, head(sol.EndY[0])), b)
	if a < 0.05 || math.Abs(b/a-1) > 0.15 {
		t.Errorf("rise of head %.4f by the reduced model, %.4f by the nozzle", b, a)
	}
}

// nozzle is the flow function Ψ of an isentropic nozzle, γ = 1.33, at expansion
// ratio pi (Heywood, appendix C).
func nozzle(pi float64) float64 {
	const g = 1.33
	r := max(1/pi, 0.54036)
	return math.Sqrt(2 * g / (g - 1) * (math.Pow(r, 2/g) - math.Pow(r, (g+1)/g)))
}

// Practice figures (common practice, no source): a big single turbo on 3.5
// litres recovers from 50 to 235 kPa gauge in about 0.75 s, in about 0.28 s with
// 75 kW of nitrous.
func TestRecoveryPractice(t *testing.T) {
	time := func(nitrous bool) float64 {
		p := simtest.InventedPass()
		p.Nitrous = nitrous
		r := sim.Runner{Car: simtest.Invented(), Keep: 0.002, Watch: true}
		res, err := r.Run(p)
		if err != nil {
			t.Fatal(err)
		}
		from, to := -1.0, -1.0
		for _, q := range res.Points {
			if q.Gear != 4 {
				continue
			}
			if from < 0 && q.Boost > 50e3 {
				from = q.T
			}
			if to < 0 && q.Boost > 0.95*235e3 {
				to = q.T
			}
		}
		if from < 0 || to < 0 {
			t.Fatal("boost did not recover")
		}
		return to - from
	}
	a, b := time(false), time(true)
	t.Logf("recovery %.2f s, with nitrous %.2f s", a, b)
	if a < 0.5 || a > 1.1 {
		t.Errorf("recovery %.2f s, want about 0.75", a)
	}
	if b < 0.2 || b > 0.65*a {
		t.Errorf("recovery with nitrous %.2f s, without %.2f s", b, a)
	}
}

// What pressure costs beyond density goes by pressure: air that is a tenth cooler brings a
// tenth more torque at the same pressure, however little more boost would bring.
func TestCurveByPressure(t *testing.T) {
	e := sim.Engine{Speed0: 0, SpeedStep: 1000, Gain: []float64{1, 1}, Loss: []float64{0, 0}, Curve: -0.25}
	const p = 350e3
	if got := e.Torque(500, e.Charge(500, p, 310/1.1, 0)) / e.Torque(500, e.Charge(500, p, 310, 0)); math.Abs(got-1.1) > 1e-9 {
		t.Errorf("torque times %.4f in air a tenth denser, want 1.1", got)
	}
	// d ln T/d ln p = 1 + κ·p/p₀/(1 + κ·(p/p₀ − 1))
	want := 1 + e.Curve*p/sim.RefPressure/(1+e.Curve*(p/sim.RefPressure-1))
	if got := math.Log(e.Torque(500, e.Charge(500, 1.0001*p, 310, 0))/e.Torque(500, e.Charge(500, p, 310, 0))) / math.Log(1.0001); math.Abs(got-want) > 1e-3 {
		t.Errorf("torque goes with the power %.4f of pressure, want %.4f", got, want)
	}
}
