package sim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/physics/straighttest"
	"traplight/internal/reftest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// power is constant power p, W, at most force f, N, through a wheel of 1 m.
func power(p, f float64) func(float64) float64 {
	return func(w float64) float64 { return math.Min(f, p/w) }
}

// The closed forms of the published table: constant power from rest without
// drag, to the table's last digit.
func TestConstantPower(t *testing.T) {
	for _, row := range reftest.Rows(t, "constant_power.csv") {
		m, p, x := row.Num(t, "mass_kg"), row.Num(t, "power_W"), row.Num(t, "distance_m")
		const x0 = 1e-3 // the slope is infinite at rest: begin with the exact state
		v0 := math.Cbrt(3 * p * x0 / m)
		r := sim.Runner{Car: simtest.Bare(m, 0, power(p, math.Inf(1))), Rel: 1e-11}
		res, err := r.Run(&sim.Pass{Start: sim.Start{Time: 1.5 * x0 / v0, X: x0, V: v0, Gear: 1}, Air: simtest.Still(), Length: x, Window: 1,
			Ideal: sim.Ideal{Grip: true}})
		if err != nil {
			t.Fatal(err)
		}
		if e := math.Abs(res.Instant - row.Num(t, "speed_m_s")); e > 1.5e-6 {
			t.Errorf("m %g P %g x %g: %.7f m/s, want %s", m, p, x, res.Instant, row["speed_m_s"])
		}
		if e := math.Abs(res.Time - row.Num(t, "time_s")); e > 1.5e-6 {
			t.Errorf("m %g P %g x %g: %.7f s, want %s", m, p, x, res.Time, row["time_s"])
		}
		if e := math.Abs(res.Instant*res.Time/x - 1.5); e > 1e-6 { // Fox: v·t/x
			t.Errorf("shape number off by %g", e)
		}
	}
}

// Constant force, then constant power, with drag: the published table and the
// closed form to 1e-6.
func TestTwoPhaseWithDrag(t *testing.T) {
	for _, row := range reftest.Rows(t, "two_phase_drag.csv") {
		m, p, k, x := row.Num(t, "mass_kg"), row.Num(t, "power_W"), row.Num(t, "k_half_rho_CdA"), row.Num(t, "distance_m")
		f := math.Inf(1)
		start := sim.Start{Gear: 1}
		if row["traction_force_N"] != "inf" {
			f = row.Num(t, "traction_force_N")
		}
		known := straighttest.Push{Mass: m, Force: f, Power: p, Drag: k}
		if math.IsInf(f, 1) {
			start.X = 1e-3
			start.V, start.Time = known.At(start.X)
		}
		r := sim.Runner{Car: simtest.Bare(m, k, power(p, f)), Rel: 1e-11}
		res, err := r.Run(&sim.Pass{Start: start, Air: simtest.Still(), Length: x, Window: 1, Ideal: sim.Ideal{Grip: true}})
		if err != nil {
			t.Fatal(err)
		}
		if want, _ := known.At(x); math.Abs(res.Instant-want) > 1e-6 || math.Abs(res.Instant-row.Num(t, "speed_m_s")) > 1.5e-6 {
			t.Errorf("%v: %.7f m/s, closed form %.7f", row, res.Instant, want)
		}
		if math.Abs(res.Time-row.Num(t, "time_s")) > 2e-6 {
			t.Errorf("%v: %.7f s", row, res.Time)
		}
		v0, _ := known.At(x - 1)
		if res.Trap < v0 || res.Trap > res.Instant {
			t.Errorf("trap mean %g outside %g to %g", res.Trap, v0, res.Instant)
		}
	}
}

// Quarter-mile rules: Fox's bound (no losses) is never beaten, and the shape
// number of a traction-limited car with shifts lies where the two rules of
// Huntington and Hale put road cars, 1409/900 and 1363/900, or above, up to the
// 2 of constant force (references, vehicle.md).
func TestQuarterMileRules(t *testing.T) {
	car := simtest.Invented()
	p := simtest.InventedPass()
	p.Length = 402.336
	for scale := 0.5; scale < 1.3; scale += 0.2 {
		p.TorqueScale = []float64{scale}
		r := sim.Runner{Car: car, Watch: true}
		res, err := r.Run(p)
		if err != nil {
			t.Fatal(err)
		}
		peak := 0.0
		for _, g := range res.Gears {
			peak = math.Max(peak, g.MaxPower)
		}
		const hp, lb, mph = 745.6998715822702, 0.45359237, 0.44704 // W, kg, m/s
		fox := 281.097 * math.Cbrt(peak/hp/(car.Mass/lb)) * mph
		if res.Instant > fox {
			t.Errorf("scale %.1f: %.1f m/s beats Fox's %.1f", scale, res.Instant, fox)
		}
		if n := res.Instant * res.Time / p.Length; n < 1.45 || n > 2.0 {
			t.Errorf("scale %.1f: shape number %.3f", scale, n)
		}
	}
}

// The energy books of a pass with shifts, wheelspin, wind and grade balance to 1e-5 of
// the crank's work, every line found by itself; the clutch's heat has the size of
// what its closing by two inertias gives.
func TestBooks(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		car := simtest.Invented()
		p := simtest.InventedPass()
		p.Grade = rapid.Float64Range(-0.01, 0.01).Draw(rt, "grade")
		p.Air.Headwind = rapid.Float64Range(-5, 5).Draw(rt, "wind")
		p.GripScale = rapid.Float64Range(0.5, 1.2).Draw(rt, "grip")
		p.Length = rapid.Float64Range(200, 1600).Draw(rt, "length")
		p.GuardSlip = 0.4
		p.Ideal.Grip = rapid.Bool().Draw(rt, "no slip")
		p.Nitrous = rapid.Bool().Draw(rt, "nitrous")
		car.Dump = rapid.Float64Range(0, 1.2).Draw(rt, "dump")
		switch rapid.IntRange(0, 2).Draw(rt, "drive") {
		case 1:
			car.DrivenShare, car.Transfer = 0.5, 0.18
		case 2:
			car.DrivenShare, car.Transfer = 1, 0
		}
		r := sim.Runner{Car: car, Books: true, Watch: true, Rel: 1e-8}
		res, err := r.Run(p)
		if err != nil {
			rt.Fatal(err)
		}
		b := res.Books
		if rel := math.Abs(b.Residual()) / b.Crank; rel > 1e-6 {
			rt.Fatalf("books are off by %.2g of the crank's work: %+v", rel, *b)
		}
		if b.Aero <= 0 || b.Rolling <= 0 || b.Tyre < 0 || b.Gearbox <= 0 || b.Clutch < -1e-6 {
			rt.Fatalf("a loss has the wrong sign: %+v", *b)
		}
		heat := 0.0
		for _, g := range res.Gears {
			heat += g.Bite.Heat
		}
		if car.Dump > 0.5 && car.Dump < 1 && (heat < 0.3*b.Clutch || heat > 4*b.Clutch) {
			rt.Fatalf("clutch heat %.0f J in the books, %.0f J by its closing", b.Clutch, heat)
		}
	})
}

// What must make the car faster does, and by no law of nature twice.
func TestDirections(t *testing.T) {
	run := func(change func(c *sim.Car, p *sim.Pass)) float64 {
		c, p := simtest.Invented(), simtest.InventedPass()
		change(c, p)
		r := sim.Runner{Car: c}
		res, err := r.Run(p)
		if err != nil {
			t.Fatal(err)
		}
		return res.Trap
	}
	base := run(func(*sim.Car, *sim.Pass) {})
	for _, c := range []struct {
		name     string
		change   func(c *sim.Car, p *sim.Pass)
		min, max float64 // m/s over the base
	}{
		{"no drag", func(_ *sim.Car, p *sim.Pass) { p.Ideal.Drag = true }, 3, 15},
		{"no shift time", func(_ *sim.Car, p *sim.Pass) { p.Ideal.Shifts = true }, 2, 10},
		{"no lag", func(_ *sim.Car, p *sim.Pass) { p.Ideal.Lag = true }, 1, 10},
		{"nitrous", func(_ *sim.Car, p *sim.Pass) { p.Nitrous = true }, 0.3, 6},
		{"heavier", func(c *sim.Car, _ *sim.Pass) { c.Mass += 50 }, -3, -0.3},
		{"headwind", func(_ *sim.Car, p *sim.Pass) { p.Air.Headwind += 2 }, -1, -0.1},
		{"uphill", func(_ *sim.Car, p *sim.Pass) { p.Grade = 0.005 }, -1, -0.1},
		{"less boost", func(_ *sim.Car, p *sim.Pass) { p.Target = []float64{60e3, 105e3, 165e3, 205e3, 205e3} }, -4, -0.2},
		{"slow shifts", func(_ *sim.Car, p *sim.Pass) { p.ShiftTime = []float64{0.5} }, -6, -0.5},
	} {
		if d := run(c.change) - base; d < c.min || d > c.max {
			t.Errorf("%s: %+.2f m/s, want %g to %g", c.name, d, c.min, c.max)
		}
	}
}

// The default tolerance holds the trap speed to 1e-4 m/s, the rough one to 0.05 mph
// (0.022 m/s) with room to spare; finer ones bring an error that falls with them, since
// no bend of the slopes lies inside a step.
func TestTolerance(t *testing.T) {
	ps := varied(24)
	worst := func(rel float64) float64 {
		w := 0.0
		for _, p := range ps {
			a, errA := (&sim.Runner{Car: simtest.Invented(), Rel: rel}).Run(p)
			b, errB := (&sim.Runner{Car: simtest.Invented(), Rel: 1e-10}).Run(p)
			if errA != nil || errB != nil {
				t.Fatal(errA, errB)
			}
			w = math.Max(w, math.Abs(a.Trap-b.Trap))
		}
		return w
	}
	fine, finer, rough := worst(0), worst(1e-8), worst(sim.Rough)
	t.Logf("worst error at the trap %.1e m/s, at 1e-8 %.1e, rough %.1e", fine, finer, rough)
	if fine > 1e-4 || finer > fine/20 || rough > 0.008 {
		t.Errorf("worst error at the trap %.1e m/s, at 1e-8 %.1e, rough %.1e", fine, finer, rough)
	}
}

func TestRefused(t *testing.T) {
	p := simtest.InventedPass()
	p.Start.Gear = 9
	if _, err := (&sim.Runner{Car: simtest.Invented()}).Run(p); err != sim.ErrPass {
		t.Error(err)
	}
}

// Kept points, marks and gears agree with one another.
func TestPoints(t *testing.T) {
	r := sim.Runner{Car: simtest.Invented(), Watch: true, Keep: 0.05, Marks: []float64{18.288, 201.168, 402.336}}
	res, err := r.Run(simtest.InventedPass())
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Gears) != 5 {
		t.Fatalf("%d gears", len(res.Gears))
	}
	for i, m := range r.Marks {
		for j := 1; j < len(res.Points); j++ {
			a, b := res.Points[j-1], res.Points[j]
			if a.X <= m && b.X > m {
				if res.MarkTime[i] < a.T || res.MarkTime[i] > b.T {
					t.Errorf("mark %g at %g s, outside %g to %g", m, res.MarkTime[i], a.T, b.T)
				}
			}
		}
	}
	for i, g := range res.Gears {
		if g.T1 <= g.T0 || g.X1 <= g.X0 || g.MaxTorque <= 0 || i > 0 && g.T0 < res.Gears[i-1].T1 {
			t.Errorf("gear %+v", g)
		}
	}
}
