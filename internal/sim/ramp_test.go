package sim_test

import (
	"math"
	"testing"

	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// A target that rises over engine speed ends where it is told to, leaves other gears
// alone, and is the plain target without a rise.
func TestTargetRise(t *testing.T) {
	run := func(rise []float64) *sim.Result {
		p := simtest.InventedPass()
		p.TargetRise = rise
		r := sim.Runner{Car: simtest.Invented(), Watch: true}
		res, err := r.Run(p)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	plain, none := run(nil), run(make([]float64, len(simtest.Invented().Ratios)))
	if plain.Trap != none.Trap {
		t.Errorf("a rise of nothing changes the trap: %g, %g", none.Trap, plain.Trap)
	}
	rise := make([]float64, len(simtest.Invented().Ratios))
	rise[2] = 15e3
	up := run(rise)
	if d := up.Gears[2].EndBoost - plain.Gears[2].EndBoost; math.Abs(d-15e3) > 4e3 {
		t.Errorf("boost at the end of the third gear rose by %.0f Pa, told 15000", d)
	}
	if d := up.Gears[1].EndBoost - plain.Gears[1].EndBoost; math.Abs(d) > 1 {
		t.Errorf("the second gear's changed by %.1f Pa", d)
	}
	if !(up.Trap > plain.Trap) {
		t.Errorf("more boost late in a gear brought nothing: %g, %g", up.Trap, plain.Trap)
	}

	// a falling target is reached where boost meets it, before it would the plain one's beginning
	fall := make([]float64, len(rise))
	fall[2] = -30e3
	down, g := run(fall), 2
	if q := down.Gears[g]; !q.Reached || q.EndBoost > plain.Gears[g].EndBoost-15e3 || q.Goal > plain.Gears[g].Goal-15e3 || q.RecoveryTime > plain.Gears[g].RecoveryTime {
		t.Errorf("a falling target: reached %v after %.2f s (%.2f), ends at %.0f Pa (%.0f), goal %.0f (%.0f)", q.Reached, q.RecoveryTime, plain.Gears[g].RecoveryTime, q.EndBoost, plain.Gears[g].EndBoost, q.Goal, plain.Gears[g].Goal)
	}
}
