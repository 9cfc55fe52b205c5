package weibull

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// AtLeast is the lower bound, own unit, of the characteristic life η at one-sided confidence
// c, 0–1, for a slope beta, 1, that is assumed. ages are those of all units, failed or not, own
// unit, and failures is how many of them failed; none is the usual case:
//
//	η ≥ [Σ tᵢ^β/(χ²_c(2r + 2)/2)]^(1/β), for r = 0 [Σ tᵢ^β/(−ln(1 − c))]^(1/β).
//
// 0 without ages.
func AtLeast(beta float64, ages []float64, failures int, c float64) float64 {
	top := 0.0
	for _, t := range ages {
		top = math.Max(top, t)
	}
	if !(top > 0) {
		return 0
	}
	sum := 0.0
	for _, t := range ages {
		if t > 0 {
			sum += math.Pow(t/top, beta)
		}
	}
	return top * math.Pow(sum/Factor(failures, c), 1/beta)
}

// Factor is χ²_c(2r + 2)/2, 1, for r failures at confidence c, 0–1; without failures
// −ln(1 − c).
func Factor(failures int, c float64) float64 {
	if failures == 0 {
		return -math.Log1p(-c)
	}
	// The chi-squared with 2k degrees of freedom over 2 is a gamma with shape k.
	return distuv.Gamma{Alpha: float64(failures + 1), Beta: 1}.Quantile(c)
}
