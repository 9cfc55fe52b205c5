package stats

import "math"

// Select reorders x so that the element of rank k (0 the smallest) stands at its place,
// none larger before it and none smaller behind it, and returns it, unit of x: partition
// by Hoare (1961), in linear time on average, where the whole order is not needed. x holds
// no NaN; it panics when k is no place in x.
func Select(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		p := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	return x[k]
}

// nansFirst moves NaNs, which sorting puts before all numbers, to the front of x and
// returns how many there are.
func nansFirst(x []float64) int {
	n := 0
	for i, v := range x {
		if math.IsNaN(v) {
			x[i], x[n] = x[n], v
			n++
		}
	}
	return n
}
