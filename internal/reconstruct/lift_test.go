package reconstruct

import (
	"math"
	"testing"
)

// A foot that comes off while rows are lost: the lift lies on the line between the
// last reading before the hole and the first after it.
func TestLiftWithinAHole(t *testing.T) {
	g := &grid{start: 3, n: 100, throttle: make([]float64, 100)}
	for i := range g.throttle {
		switch {
		case i < 40:
			g.throttle[i] = 1
		case i < 60:
			g.throttle[i] = math.NaN()
		}
	}
	got := (&signals{}).finalLift(&sweep{launch: 3}, g)
	// Readings of 1 at 39 and 0 at 60: half is in the middle.
	if want := g.at(0) + 49.5*gridStep; math.Abs(got-want) > 1e-9 {
		t.Errorf("lift at %v, want %v", got, want)
	}
	for i := 40; i < g.n; i++ {
		g.throttle[i] = math.NaN()
	}
	if got := (&signals{}).finalLift(&sweep{launch: 3}, g); !math.IsInf(got, 1) {
		t.Errorf("no reading after the hole: lift at %v, want none", got)
	}
}
