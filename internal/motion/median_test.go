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

// TestMiddles: what is looked for about the last answer is what sorting would find, whether the
// numbers have moved little, much, or were none.
func TestMiddles(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 4))
	var m middles
	for k := range 400 {
		x := make([]float64, r.IntN(3)*r.IntN(400))
		scale := 1 + 0.05*r.NormFloat64()
		if k%50 == 0 {
			scale = 30
		}
		y := make([]float64, len(x))
		for i := range x {
			x[i] = math.Round(1000*scale*r.NormFloat64()) / 1000
			y[i] = math.Abs(x[i])
		}
		before := append([]float64(nil), x...)
		got := m.of(midLeft, x)
		sort.Float64s(y)
		if len(x) > 0 && got != y[len(x)/2] {
			t.Fatalf("%d values: %g, sorted %g", len(x), got, y[len(x)/2])
		}
		for i, v := range before {
			if x[i] != v {
				t.Fatal("the numbers do not stay")
			}
		}
	}
}
