package columns

import "math"

const (
	maxScale = 9 // decimals; more are noise of arithmetic, not print
	max32    = 999_999_999
	max64    = 1 << 53 // beyond it not every integer is a float64
)

// scaleOf finds the smallest number of decimals that gives back every value
// bit for bit, and whether the integers fit 32 bits (9 digits, as the format
// asks) or 53. ok is false when there is none. NaN does not count.
//
// x·10^s is rounded to an integer n, and n/10^s must be x again: the division
// of two exact numbers is rounded once, as the reader of decimal print rounds.
func scaleOf(values []float64) (scale int, wide, ok bool) {
	p := 1.0
	for scale = 0; scale <= maxScale; scale++ {
		fits, big := true, false
		for _, x := range values {
			if math.IsNaN(x) {
				continue
			}
			n := math.Round(x * p)
			// A negative zero has no integer of its own.
			if !(math.Abs(n) < max64) || n/p != x || n == 0 && math.Signbit(x) {
				fits = false
				break
			}
			big = big || math.Abs(n) > max32
		}
		if fits {
			return scale, big, true
		}
		p *= 10
	}
	return 0, false, false
}

// power10 is 10^n for n up to 22, exact.
func power10(n int) float64 {
	p := 1.0
	for range n {
		p *= 10
	}
	return p
}
