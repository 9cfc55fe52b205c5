// Package localfit fits low polynomials to the samples near a point, for values
// and slopes of unevenly sampled signals. With even samples and a full window it
// is the filter of Savitzky and Golay (1964), Anal. Chem. 36, 1627.
package localfit

import (
	"math"
	"sort"
)

// Quadratic fits value, slope and curvature at t to the samples of (x, y) within
// half of t, by least squares. x must be ascending, in the unit of t; slope is in
// y's unit per x's. With three samples or fewer, or none on one side, it falls
// back to a straight line, and to the mean of fewer than two. ok is false
// without any sample in reach.
func Quadratic(x, y []float64, t, half float64) (value, slope float64, ok bool) {
	lo := sort.SearchFloat64s(x, t-half)
	hi := sort.SearchFloat64s(x, math.Nextafter(t+half, math.Inf(1)))
	n := hi - lo
	if n <= 0 {
		return 0, 0, false
	}
	var s0, s1, s2, s3, s4, y0, y1, y2 float64
	for i := lo; i < hi; i++ {
		u := (x[i] - t) / half
		u2 := u * u
		s0++
		s1 += u
		s2 += u2
		s3 += u2 * u
		s4 += u2 * u2
		y0 += y[i]
		y1 += y[i] * u
		y2 += y[i] * u2
	}
	twoSided := x[lo] < t && x[hi-1] > t
	if n > 3 && twoSided {
		// solve the symmetric 3×3 system by Cramer's rule
		d := s0*(s2*s4-s3*s3) - s1*(s1*s4-s3*s2) + s2*(s1*s3-s2*s2)
		if math.Abs(d) > 1e-12*s0*s0*s0 {
			a := (y0*(s2*s4-s3*s3) - s1*(y1*s4-s3*y2) + s2*(y1*s3-s2*y2)) / d
			b := (s0*(y1*s4-s3*y2) - y0*(s1*s4-s3*s2) + s2*(s1*y2-y1*s2)) / d
			return a, b / half, true
		}
	}
	if d := s0*s2 - s1*s1; n >= 2 && d > 1e-12*s0*s0 {
		b := (s0*y1 - s1*y0) / d
		return (y0 - b*s1) / s0, b / half, true
	}
	return y0 / s0, 0, true
}
