package sim

import (
	"math"
	"testing"
)

// The tables are the functions that they stand for, and have no steps at their nodes.
func TestTables(t *testing.T) {
	for _, shape := range []float64{1.3, 1.45, 1.65, 1.9} {
		curve := curveOf(shape)
		tyre := Tyre{Shape: shape}
		b := math.Tan(math.Pi / (2 * shape))
		for x := -1.0; x < 9; x += 0.00713 {
			if got, want := tyre.curve(x, curve), math.Sin(shape*math.Atan(b*x)); math.Abs(got-want) > 1e-8 {
				t.Fatalf("shape %.2f, slip %.4f of the peak's: %.12f, want %.12f", shape, x, got, want)
			}
		}
	}
	for q := 0.0; q < 5; q += 0.00317 {
		if got, want := expanded(q), 1-math.Pow(1+q*q, -exhExponent); math.Abs(got-want) > 1e-9 {
			t.Fatalf("flow %.4f: %.12f, want %.12f", q, got, want)
		}
	}
}
