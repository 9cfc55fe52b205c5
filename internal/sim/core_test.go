package sim_test

import (
	"math"
	"testing"

	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// At one flow, head and speed the core's warmth nears its balance by an exponential.
func TestCoreClosedForm(t *testing.T) {
	e := sim.Engine{ChargeRise: 0.2, Core: sim.Core{Take: 0.03, Shed: 0.1, Felt: 0.8}}
	const flow, ambient, head, v = 1.7, 295.0, 0.35, 60.0
	take, shed := e.Core.Take*flow, e.Core.Shed*v/50
	full := 0.8 * ambient * (1.4 - 0.2) * head * (1 + 0.6*head)
	u, dt := 0.0, 1e-4
	for range 60000 {
		mid := u + dt/2*e.CoreSlope(u, flow, ambient, head, v)
		u += dt * e.CoreSlope(mid, flow, ambient, head, v)
	}
	want := full * take / (take + shed) * (1 - math.Exp(-6*(take+shed)))
	if math.Abs(u-want) > 1e-6*want {
		t.Errorf("%.6f K after 6 s, want %.6f", u, want)
	}
}

// The faster the engine, the hotter the charge at one head; and where torque feels half of a core's warmth
// the computer, which sees all of it on its sensor, draws the ignition back for all of it.
func TestChargeBySpeed(t *testing.T) {
	e := sim.Engine{ChargeRise: 0.2, ChargeFlow: 0.8, ChargeBase: 10}
	cool, hot := e.ChargeTemperature(295, 0.4, 0.45*sim.RefSpeed), e.ChargeTemperature(295, 0.4, 0.9*sim.RefSpeed)
	if want := 295*(1+0.2*0.4*1.24) + 10; math.Abs(hot-want) > 1e-9 || math.Abs((hot-305)*0.6-(cool-305)) > 1e-9 {
		t.Errorf("%.2f K at 6300 rev/min, want %.2f, and %.2f at half of it", hot, want, cool)
	}
	e.Spark = sim.Spark{Loss: 1, Best: 0.45, Angle: 0.3, ByHeat: -0.002}
	e.Core.Felt = 0.5
	got := e.Charge(700, 250e3, 350, 20) / e.Charge(700, 250e3, 350, 0)
	seen, felt := e.Spark.Set(700, 250e3, 370), e.Spark.Set(700, 250e3, 350)
	if want := e.Spark.Efficiency(seen) / e.Spark.Efficiency(felt); math.Abs(got-want) > 1e-12 || got >= 1 {
		t.Errorf("a warm core leaves %.5f of the torque by the ignition, want %.5f", got, want)
	}
}

// A core that takes up heat costs speed, the more the more boost came early, and nothing where
// torque does not feel it.
func TestCoreCosts(t *testing.T) {
	trap := func(core sim.Core, low float64) float64 {
		car, p := simtest.Invented(), simtest.InventedPass()
		car.Engine.Core = core
		car.Tyre.Peak *= 4
		p.Target = []float64{low, low, 200e3}
		res, err := (&sim.Runner{Car: car}).Run(p)
		if err != nil {
			t.Fatal(err)
		}
		return res.Trap
	}
	water := sim.Core{Take: 0.01, Felt: 1}
	gentle, hard := trap(sim.Core{}, 80e3)-trap(water, 80e3), trap(sim.Core{}, 200e3)-trap(water, 200e3)
	if gentle < 0.2 || hard < 1.1*gentle {
		t.Errorf("a core of water costs %.2f m/s after low boost and %.2f after high", gentle, hard)
	}
	if d := trap(sim.Core{Take: 0.01}, 200e3) - trap(sim.Core{}, 200e3); math.Abs(d) > 1e-6 {
		t.Errorf("a core that torque does not feel changes the trap speed by %g m/s", d)
	}
}
