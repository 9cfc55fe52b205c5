package forecast

import (
	"math"
	"slices"
)

// Scores of a forecast against what came. Source: Gneiting and Raftery (2007); see
// the package comment.

// CRPSNormal is the continuous ranked probability score of a normal forecast of
// mean m and standard deviation s for the outcome y, all in one unit, which is also
// the score's. Smaller is better.
func CRPSNormal(m, s, y float64) float64 {
	z := (y - m) / s
	pdf := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return s * (z*(2*cdf(z)-1) + 2*pdf - 1/math.Sqrt(math.Pi))
}

// PITNormal is the probability, 0–1, that a normal forecast (m, s) gave to less than
// y; m, s and y share the caller's unit. Over many forecasts it should be uniform.
func PITNormal(m, s, y float64) float64 { return cdf((y - m) / s) }

func cdf(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// CRPSSample is the score of a forecast given as draws, for the outcome y, in their
// unit: E|X−y| − E|X−X'|/2. Draws that are NaN are left out.
func CRPSSample(draws []float64, y float64) float64 {
	x := slices.DeleteFunc(slices.Clone(draws), math.IsNaN)
	slices.Sort(x)
	n := float64(len(x))
	var a, b float64
	for i, v := range x {
		a += math.Abs(v - y)
		b += v * (2*float64(i) + 1 - n)
	}
	return a/n - b/(n*n)
}

// IntervalScore is the score of a central interval lo to hi of level 1 − alpha, 0–1,
// for the outcome y: its width and a fine for missing; all in one unit.
func IntervalScore(lo, hi, alpha, y float64) float64 {
	s := hi - lo
	if y < lo {
		s += 2 / alpha * (lo - y)
	}
	if y > hi {
		s += 2 / alpha * (y - hi)
	}
	return s
}
