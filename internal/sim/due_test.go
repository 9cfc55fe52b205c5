package sim_test

import (
	"testing"

	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// A pass whose first gear is already at the limiter shifts and goes on; it once coasted
// to the line, as the limiter held the engine speed that the shift waited for.
func TestShiftDueAtStart(t *testing.T) {
	run := func(over float64) float64 {
		car, p := simtest.Invented(), *simtest.InventedPass()
		p.Start.V = (p.ShiftSpeed[0] + over) / car.Ratios[0] * car.Radius
		p.Start.X, p.Start.Wheel = 30, 0
		car.RevLimit = p.ShiftSpeed[0] + 4
		res, err := (&sim.Runner{Car: car}).Run(&p)
		if err != nil {
			t.Fatal(err)
		}
		return res.Trap
	}
	if a, b := run(-20), run(6); b < a-1 {
		t.Errorf("trap %.2f m/s when the shift is due at the start, %.2f when it comes a little later", b, a)
	}
}
