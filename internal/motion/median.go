package motion

import "math"

// median of |x|, which it reorders: the element that would stand in the middle, found
// by partition (Hoare 1961) since the whole order is not needed.
func medianAbs(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	for i := range x {
		x[i] = math.Abs(x[i])
	}
	k, lo, hi := len(x)/2, 0, len(x)-1
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

// median is the middle of x, which stays as it is; work is room of at least its length.
func median(x, work []float64) float64 {
	least := math.Inf(1)
	for _, v := range x {
		least = math.Min(least, v)
	}
	work = work[:len(x)]
	for i, v := range x {
		work[i] = v - least
	}
	return least + medianAbs(work)
}
