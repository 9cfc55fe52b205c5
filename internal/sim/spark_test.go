package sim_test

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// The loss of torque off the best ignition: J. B. Heywood, "Internal Combustion Engine
// Fundamentals" (1988), figure 15-3, read from memory: about 3 % at 10°, 10 % at 18°.
func TestSparkEfficiency(t *testing.T) {
	const degree = math.Pi / 180
	s := sim.Spark{Loss: 1, Best: 26 * degree}
	for _, c := range []struct{ late, want, tol float64 }{{0, 1, 0}, {10, 0.97, 0.005}, {18, 0.90, 0.01}, {-10, 0.97, 0.005}, {90, 0.3, 0}} {
		if got := s.Efficiency(s.Best - c.late*degree); math.Abs(got-c.want) > c.tol {
			t.Errorf("%g° late: %.3f, want %.3f", c.late, got, c.want)
		}
	}
}
