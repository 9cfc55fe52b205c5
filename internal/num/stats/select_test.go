package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// What is selected is what sorting would put there, with repeats and NaNs, and nothing is
// lost on the way.
func TestQuantileEqualsSorting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-3, 3), rapid.SampledFrom([]float64{0, 1, math.Inf(1), math.Inf(-1), math.NaN()})), 1, 80).Draw(t, "x")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		s := slices.Clone(x)
		slices.Sort(s)
		want, got := QuantileSorted(s, p), Quantile(x, p)
		if got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Fatalf("%g of %v: %g, sorted %g", p, x, got, want)
		}
	})
}

func TestSelectParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-2, 2), 1, 60).Draw(t, "x")
		for i := range x {
			x[i] = math.Round(x[i])
		}
		k := rapid.IntRange(0, len(x)-1).Draw(t, "k")
		s, y := slices.Sorted(slices.Values(x)), slices.Clone(x)
		if v := Select(y, k); v != s[k] || y[k] != v {
			t.Fatalf("rank %d of %v: %g in %v", k, x, v, y)
		}
		if k > 0 && slices.Max(y[:k]) > y[k] || k+1 < len(y) && slices.Min(y[k+1:]) < y[k] {
			t.Fatalf("%v is not parted at %d", y, k)
		}
		if !slices.Equal(slices.Sorted(slices.Values(y)), s) {
			t.Fatalf("%v became %v", x, y)
		}
	})
}
