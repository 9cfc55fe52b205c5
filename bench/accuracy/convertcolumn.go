package main

import (
	"math"

	"traplight/internal/quantity"
)

// convertColumn prints values in another unit, with a step of a tenth of the
// original's or less.
func convertColumn(values []float64, from, to string, barometer float64) []float64 {
	a, z := quantity.MustUnit(truthUnitText(from)), quantity.MustUnit(truthUnitText(to))
	add := 0.0
	if a.Reference != z.Reference {
		if z.Reference == quantity.OverAmbient {
			add = -barometer
		} else if a.Reference == quantity.OverAmbient {
			add = barometer
		}
	}
	step, last := math.Inf(1), math.NaN()
	for _, x := range values {
		if d := math.Abs(x - last); d > 1e-9 && d < step {
			step = d
		}
		if x == x {
			last = x
		}
	}
	if math.IsInf(step, 1) {
		step = 1e-2 // it never changes
	}
	step *= math.Abs(a.Factor / z.Factor)
	scale := 1.0
	for scale < 1e9 && 1/scale > step/10 {
		scale *= 10
	}
	out := make([]float64, len(values))
	for i, x := range values {
		out[i] = math.Round(z.Of(a.SI(x)+add)*scale) / scale
	}
	return out
}
