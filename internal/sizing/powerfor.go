package sizing

import "math"

// powerFor is the peak crank power, W, whose trap speed is target, m/s; +Inf when no
// power gives it, for grip or gears end before. The root is found in the logarithm of power
// by the Illinois method (M. Dowell, P. Jarratt, BIT 11 (1971) 168–174), to 2e-5.
func (c *vehicle) powerFor(target, length, window float64) float64 {
	miss := func(u float64) float64 { return c.run(math.Exp(u), length, window).trap - target }
	const most = 6e6 // W
	lo, hi := math.Log(1e5), math.Log(4e5)
	flo, fhi := miss(lo), miss(hi)
	for fhi < 0 {
		lo, flo = hi, fhi
		if hi += 0.5; hi > math.Log(most) {
			return math.Inf(1)
		}
		fhi = miss(hi)
	}
	for flo > 0 {
		hi, fhi = lo, flo
		if lo -= 0.7; lo < math.Log(1e3) {
			return math.Exp(lo)
		}
		flo = miss(lo)
	}
	side := 0
	for range 60 {
		if hi-lo < 2e-5 {
			break
		}
		u := (lo*fhi - hi*flo) / (fhi - flo)
		if !(u > lo && u < hi) {
			u = (lo + hi) / 2
		}
		f := miss(u)
		switch {
		case math.Abs(f) < 1e-5*target:
			return math.Exp(u)
		case f > 0:
			hi, fhi = u, f
			if side == 1 {
				flo /= 2
			}
			side = 1
		default:
			lo, flo = u, f
			if side == -1 {
				fhi /= 2
			}
			side = -1
		}
	}
	return math.Exp((lo + hi) / 2)
}
