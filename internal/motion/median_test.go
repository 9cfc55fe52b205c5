package motion

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"
)

// TestMedianAbs: partition finds what sorting would, with repeats and any length.
func TestMedianAbs(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for n := 1; n < 200; n++ {
		x := make([]float64, n)
		for i := range x {
			x[i] = math.Round(10 * r.NormFloat64())
		}
		y := make([]float64, n)
		for i, v := range x {
			y[i] = math.Abs(v)
		}
		sort.Float64s(y)
		if got := medianAbs(x); got != y[n/2] {
			t.Fatalf("%d values: %g, sorted %g", n, got, y[n/2])
		}
	}
	if !math.IsNaN(medianAbs(nil)) {
		t.Error("a median of nothing")
	}
}
