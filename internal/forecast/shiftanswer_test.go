package forecast

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// TestShiftBeside: changes of gear between those that were run are in no doubt, later or earlier
// ones by how far they lie beyond, and passes that hardly count tell nothing.
func TestShiftBeside(t *testing.T) {
	m := &fitcar.Model{Passes: []fitcar.PassFit{
		{Obs: &fitcar.Observation{ShiftAim: []float64{700, 710}}, Weight: 1},
		{Obs: &fitcar.Observation{}, Replay: &sim.Pass{ShiftSpeed: []float64{690, 690}}, Weight: 1},
		{Obs: &fitcar.Observation{ShiftAim: []float64{800, 800}}, Weight: 0.03},
	}}
	for _, c := range []struct {
		aim  []float64
		want float64 // rad/s
	}{{[]float64{695, 700}, 0}, {[]float64{720, 710}, 10}, {[]float64{670, 680}, -15}, {[]float64{680, 720}, 0}, {nil, 0}} {
		if got := (&Next{ShiftAim: c.aim}).shiftBeside(m); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("aim %v: %.2f rad/s beyond, want %.2f", c.aim, got, c.want)
		}
	}
}

// Many even draws are standard normal, and few have hardly a mean.
func TestEvenly(t *testing.T) {
	const many = 2000
	ss := 0.0
	for i := range many {
		ss += evenly(i) * evenly(i)
	}
	if sd := math.Sqrt(ss / many); math.Abs(sd-1) > 0.01 {
		t.Errorf("standard deviation %.3f", sd)
	}
	for _, few := range []int{12, 24, 36, 200} {
		sum := 0.0
		for i := range few {
			sum += evenly(i)
		}
		if mean := sum / float64(few); math.Abs(mean) > 0.09 {
			t.Errorf("the mean of %d draws is %.3f", few, mean)
		}
	}
}
