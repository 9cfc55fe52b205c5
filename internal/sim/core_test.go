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
