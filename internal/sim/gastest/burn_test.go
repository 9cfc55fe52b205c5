package gastest

import (
	"math"
	"testing"
)

// Points of Heywood's figures, from memory (trust C): work per mass of air against
// lambda as combustion efficiency (figure 3-9) over lambda, set to 1 at its highest;
// torque against spark (figure 15-3): 5° late costs about 1 %, 10° about 3 %, 20° about
// 12 %.
func TestFigures(t *testing.T) {
	for lambda, want := range map[float64]float64{1.1: 0.88, 1: 0.96, 0.9: 0.99, 0.8: 1, 0.71: 0.98, 0.67: 0.945} {
		if got := workByMixture(lambda); math.Abs(got-want) > 0.02 {
			t.Errorf("lambda %.2f: %.3f, want %.3f", lambda, got, want)
		}
	}
	for deg, want := range map[float64]float64{0: 1, 5: 0.99, 10: 0.97, 20: 0.88} {
		if got := workBySpark(deg * math.Pi / 180); math.Abs(got-want) > 0.008 {
			t.Errorf("%g° late: %.3f, want %.3f", deg, got, want)
		}
	}
	if released(1.2) != released(1) || math.Abs(released(0.8)/released(1)-0.8) > 1e-12 {
		t.Error("heat does not follow the oxygen")
	}
}
