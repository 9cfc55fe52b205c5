package sim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/reftest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// The closing of the clutch where it has a closed form: capacity that rises evenly
// over a time, wheels without slip, a car too heavy to notice, an engine that makes
// nothing. The engine loses its surplus drop Δω when T²/(2·T_c/t_c) = J·Δω, so the
// gearbox sees min(T_c, √(2·J·Δω·T_c/t_c)).
func TestBiteClosedForm(t *testing.T) {
	for _, c := range []struct{ capacity, close, drop float64 }{{1600, 0.08, 60}, {1600, 0.3, 150}, {900, 0.02, 200}, {3000, 0.1, 100}} {
		car := simtest.Bare(1e9, 0, func(float64) float64 { return 0 })
		car.Ratios, car.EngineInertia, car.Dump = []float64{2, 1}, 0.25, 1
		car.Clutch = sim.Clutch{Capacity: c.capacity, Close: c.close}
		v := c.drop // gear 2 turns at v, gear 1 at 2v
		r := sim.Runner{Car: car, Watch: true}
		res, err := r.Run(&sim.Pass{Start: sim.Start{V: v, Gear: 1}, Air: simtest.Still(), Length: 500, Window: 1,
			Grade:      -0.01, // rolls to its shift
			ShiftSpeed: []float64{2.0001 * v}, ShiftTime: []float64{0.01}, Ideal: sim.Ideal{Grip: true}})
		if err != nil {
			t.Fatal(err)
		}
		want := math.Min(c.capacity, math.Sqrt(2*car.EngineInertia*c.drop*c.capacity/c.close))
		got := res.Gears[1].Bite
		if math.Abs(got.Torque/want-1) > 0.01 {
			t.Errorf("%+v: bite %.1f N·m, want %.1f", c, got.Torque, want)
		}
		// all of the engine's surplus against a wheel that does not slow is heat: ½·J·Δω²
		if heat := 0.5 * car.EngineInertia * c.drop * c.drop; math.Abs(got.Heat/heat-1) > 0.02 {
			t.Errorf("%+v: heat %.0f J, want %.0f", c, got.Heat, heat)
		}
	}
}

// The gearbox never sees more than the clutch passes, in a bite; a slower closing
// never bites harder; the launch's books of energy balance.
func TestBiteBounds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		car := simtest.Invented()
		car.Clutch.Capacity = rapid.Float64Range(500, 3000).Draw(rt, "capacity")
		car.Clutch.Close = rapid.SampledFrom([]float64{0, 0.03, 0.1}).Draw(rt, "close")
		car.Dump = rapid.Float64Range(0.3, 1).Draw(rt, "dump")
		run := func() []sim.Gear {
			r := sim.Runner{Car: car, Watch: true}
			res, err := r.Run(simtest.InventedPass())
			if err != nil {
				rt.Fatal(err)
			}
			return res.Gears
		}
		hard := run()
		car.Clutch.Close += 0.1
		soft := run()
		for i := 1; i < len(hard); i++ {
			b := hard[i].Bite
			if b.Torque <= 0 || b.Torque > car.Clutch.Capacity*(1+1e-9) || b.Heat <= 0 {
				rt.Fatalf("gear %d: %+v", i+1, b)
			}
			if car.Clutch.Close > 0.1 && soft[i].Bite.Torque > b.Torque*(1+1e-9) {
				rt.Fatalf("gear %d: softer closing bites harder: %g, %g", i+1, soft[i].Bite.Torque, b.Torque)
			}
			if hard[i].PeakInput() < hard[i].MaxInput || hard[i].PeakInput() < b.Torque {
				rt.Fatal("the peak lies below its parts")
			}
		}
	})
}

// Watching a pass, which works out its bites, does not change it.
func TestWatchChangesNothing(t *testing.T) {
	a, _ := (&sim.Runner{Car: simtest.Invented()}).Run(simtest.InventedPass())
	b, _ := (&sim.Runner{Car: simtest.Invented(), Watch: true}).Run(simtest.InventedPass())
	if a.Trap != b.Trap || a.Time != b.Time || a.Evaluation != b.Evaluation {
		t.Errorf("watched %v %v, unwatched %v %v", b.Trap, b.Time, a.Trap, a.Time)
	}
}

// A launch without slip of the tyres against its closed form: engine torque T_e held,
// clutch capacity T_c whole at once, no drag. The car moves with a = T_c·i/(M·r), the
// engine falls with (T_c − T_e)/J; they meet at t = ω₀/(a·i/r + (T_c−T_e)/J), and the
// heat is T_c·ω₀·t/2.
func TestLaunchClosedForm(t *testing.T) {
	const m, tc, te, j, i, w0 = 1400.0, 900.0, 500.0, 0.25, 8.0, 600.0
	car := simtest.Bare(m, 0, func(float64) float64 { return te })
	car.Ratios, car.EngineInertia, car.Radius = []float64{i}, j, 0.3
	car.Clutch = sim.Clutch{Capacity: tc}
	r := sim.Runner{Car: car}
	s, err := r.Launch(&sim.Pass{Air: simtest.Still(), Ideal: sim.Ideal{Grip: true}}, sim.Launch{Gear: 1, Speed: w0})
	if err != nil {
		t.Fatal(err)
	}
	a := tc * i / (m * 0.3)
	at := w0 / (a*i/0.3 + (tc-te)/j)
	for _, c := range []struct {
		what            string
		got, want, most float64
	}{{"slip time", s.Bite.Time, at, 3e-3}, {"speed", s.V, a * at, 3e-3}, {"distance", s.X, a * at * at / 2, 6e-3},
		{"heat", s.Bite.Heat, tc * w0 * at / 2, 3e-3}, {"torque", s.Bite.Torque, tc, 1e-6},
		{"time from rollout", s.Time, at - math.Sqrt(2*0.3048/a), 5e-3}} {
		if math.Abs(c.got/c.want-1) > c.most {
			t.Errorf("%s %.5g, want %.5g", c.what, c.got, c.want)
		}
	}
}

// Launches of the invented car: more engine speed means a harder one or more slip; a
// clutch dropped at idle stalls the engine; one that is too weak never closes.
func TestLaunches(t *testing.T) {
	const rpm = math.Pi / 30
	p := simtest.InventedPass()
	p.GuardSlip = 0.15
	r := sim.Runner{Car: simtest.Invented()}
	l := sim.Launch{Gear: 1, Speed: 4500 * rpm, Head: 0.08, Release: 0.6}
	s, err := r.Launch(p, l)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("launch %+v", s)
	if s.V < 2 || s.V > 20 || s.Bite.Heat < 5e3 || s.Bite.Torque > r.Car.Clutch.Capacity {
		t.Errorf("launch %+v", s)
	}
	p.Start = s
	r.Watch = true
	res, err := r.Run(p)
	if err != nil || !res.Complete || res.Gears[0].Bite != s.Bite {
		t.Errorf("the pass does not carry its launch: %v %+v", err, res.Gears[0].Bite)
	}
	l.Speed = 1100 * rpm
	l.Head, l.Release, l.Torque = 0, 0.05, 0.05
	if _, err := r.Launch(p, l); err != sim.ErrStall {
		t.Errorf("dropped at idle: %v", err)
	}
	weak := simtest.Invented()
	weak.Clutch.Capacity = 60
	l = sim.Launch{Gear: 1, Speed: 4500 * rpm, Head: 0.1, Release: 0.2}
	if _, err := (&sim.Runner{Car: weak}).Launch(p, l); err != sim.ErrSlips {
		t.Errorf("weak clutch: %v", err)
	}
}

// A clutch that slips in gear passes what it holds and no more: constant power behind it
// is constant force, then constant power, whose closed form the published table has.
func TestClutchHoldsClosedForm(t *testing.T) {
	n := 0
	for _, row := range reftest.Rows(t, "two_phase_drag.csv") {
		if row["traction_force_N"] == "inf" {
			continue
		}
		n++
		m, p, k, x, f := row.Num(t, "mass_kg"), row.Num(t, "power_W"), row.Num(t, "k_half_rho_CdA"), row.Num(t, "distance_m"), row.Num(t, "traction_force_N")
		const v0 = 1.0 // the engine's torque has no bound at rest
		car := simtest.Bare(m, k, power(p, math.Inf(1)))
		car.Clutch.Holds = f // the bare car's wheel has a radius of 1 m
		lim := power(p, f)
		free := simtest.Bare(m, k, lim)
		run := func(c *sim.Car) *sim.Result {
			r := sim.Runner{Car: c, Rel: 1e-11}
			res, err := r.Run(&sim.Pass{Start: sim.Start{V: v0, Gear: 1}, Air: simtest.Still(), Length: x, Window: 1, Ideal: sim.Ideal{Grip: true}})
			if err != nil {
				t.Fatal(err)
			}
			return res
		}
		if got, want := run(car).Instant, run(free).Instant; math.Abs(got-want) > 1e-6 {
			t.Errorf("%v: %.7f m/s, with the force bounded %.7f", row, got, want)
		}
	}
	if n == 0 {
		t.Fatal("the table holds no row with a bounded force")
	}
}
