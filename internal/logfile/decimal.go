package logfile

import "math"

// redecimal gives differences of large decimal numbers their decimals back: 0.21
// instead of 0.20999999. large is the number from which was subtracted, s.
func redecimal(t []float64, large float64) {
	noise := 2 * (math.Nextafter(large, math.Inf(1)) - large)
	for _, scale := range []float64{1, 10, 100, 1000, 1e4, 1e5, 1e6} {
		if noise*scale > 0.2 {
			return
		}
		fits := true
		for _, x := range t {
			if x == x && math.Abs(x*scale-math.Round(x*scale)) > noise*scale+1e-9 {
				fits = false
				break
			}
		}
		if fits {
			for i, x := range t {
				t[i] = math.Round(x*scale) / scale
			}
			return
		}
	}
}

// asPrinted is the multiple of the stamps' step next to x, s, if it is no farther
// than slack, s: the very number that a stamp would have given.
func asPrinted(x, stamp, slack float64) float64 {
	if stamp <= 0 {
		return x
	}
	r := math.Round(x/stamp) * stamp
	if inverse := math.Round(1 / stamp); stamp < 1 && math.Abs(inverse*stamp-1) < 1e-9 {
		r = math.Round(x*inverse) / inverse
	}
	if math.Abs(r-x) > slack {
		return x
	}
	return r
}
