package reconstruct

import "math"

// runMean is the mean of x over m samples from i, NaN when one is missing or unmarked.
func runMean(x []float64, use []bool, i, m int) float64 {
	if i+m > len(x) {
		return math.NaN()
	}
	sum := 0.0
	for j := i; j < i+m; j++ {
		if !use[j] || math.IsNaN(x[j]) {
			return math.NaN()
		}
		sum += x[j]
	}
	return sum / float64(m)
}

func highest(x []float64, use []bool, m int) (best float64, at int) {
	best, at = math.NaN(), -1
	for i := range x {
		if !use[i] {
			continue
		}
		if v := runMean(x, use, i, m); !math.IsNaN(v) && !(v <= best) {
			best, at = v, i
		}
	}
	return
}

// centred is the highest mean of x over m samples about a marked one; the window may
// reach past the marks, where a spin that ends with the shift is still to be seen.
func centred(x []float64, use []bool, m int) (best float64, at int) {
	best, at = math.NaN(), -1
	for i := m / 2; i+m/2 < len(x); i++ {
		if !use[i] {
			continue
		}
		sum := 0.0
		for j := i - m/2; j <= i+m/2; j++ {
			sum += x[j]
		}
		if v := sum / float64(2*(m/2)+1); !math.IsNaN(v) && !(v <= best) {
			best, at = v, i
		}
	}
	return
}

func meanOf(x []float64, use []bool) (m float64, n int) {
	for i, v := range x {
		if use[i] && !math.IsNaN(v) {
			m += v
			n++
		}
	}
	if n == 0 {
		return math.NaN(), 0
	}
	return m / float64(n), n
}
