package plan

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
)

// Wheelspin until the launch clutch has closed is the bite's, what comes later the pull's.
func TestSpun(t *testing.T) {
	const n = 100
	o := &fitcar.Observation{Step: 0.02, Radius: 0.3, Lock: 40, X: make([]float64, n), V: make([]float64, n), Wheel: make([]float64, n), Full: make([]bool, n)}
	o.Shifts = []fitcar.ShiftSeen{{From: 1, To: 2, Start: 10, End: 10}}
	for i := range n {
		slip := 0.02
		if i >= 20 && i < 40 || i >= 60 && i < 70 {
			slip = 0.3
		}
		o.V[i], o.Full[i] = 10, true
		o.Wheel[i] = 10 * (1 + slip) / 0.3
	}
	out, bite := spun(o, 0.1, 2)
	if math.Abs(out[0]-0.6) > 1e-9 || math.Abs(bite[0]-0.4) > 1e-9 || !math.IsNaN(out[1]) {
		t.Errorf("%.2f s of wheelspin, %.2f of it in the bite, %.2f in 2", out[0], bite[0], out[1])
	}
}
