package forecast

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// The launch clutch does not close on more boost than its gear's control lets through.
func TestStartBound(t *testing.T) {
	n := &Next{Air: sim.Air{Pressure: 100e3}, Target: []float64{50e3, 150e3}}
	c := &sim.Car{Boost: sim.Boost{Floor: 30e3, Over: 5e3}}
	for _, q := range []struct{ head, want float64 }{{0.05, 0.05}, {0.4, sim.Head(100e3, 155e3)}} {
		s := sim.Start{Gear: 1, Head: q.head}
		n.bound(c, &s)
		if math.Abs(s.Head-q.want) > 1e-12 {
			t.Errorf("head %.3f became %.3f, not %.3f", q.head, s.Head, q.want)
		}
	}
}
