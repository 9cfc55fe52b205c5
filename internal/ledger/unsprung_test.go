package ledger

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// Only gears whose target stands under the spring lose less torque than the model has, each by its
// own distance, and what was scaled before stays so.
func TestUnsprung(t *testing.T) {
	car := &sim.Car{Ratios: []float64{12, 8, 5}}
	p := &sim.Pass{Air: sim.Air{Pressure: 100e3}, Target: []float64{40e3, 60e3, 120e3}, TorqueScale: []float64{1.1, 1}}
	if got := unsprung(p, car); len(got) != 2 || got[0] != 1.1 {
		t.Errorf("without a spring: %v", got)
	}
	car.Boost.Floor = 75e3
	got := unsprung(p, car)
	for g, want := range []float64{1.1 * 1.02, 1 + 0.1*15/175.0, 1} {
		if math.Abs(got[g]-want) > 1e-9 {
			t.Errorf("gear %d: %.4f, want %.4f", g+1, got[g], want)
		}
	}
}
