package changepoint

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Break is one break in the mean of a series.
type Break struct {
	At            int     // first index of the new level
	Before, After float64 // mean levels, unit of the series
	F             float64 // 1, F statistic at the break: the largest over all places
	Low, High     int     // 95 % interval for At
}

// Single places one break in the mean of y by least squares, leaving at least
// the share trim (1, below 0.5) of the samples on either side. ok is false for
// fewer than six samples or a series that does not vary.
//
// F is compared with its own supremum distribution (Andrews 1993), not with a
// fixed F table: about 8.9 is the 5 % point at trim 0.15 for one coefficient
// (from memory).
func Single(y []float64, trim float64) (b Break, ok bool) {
	n := len(y)
	if n < 6 {
		return b, false
	}
	c := newLevel(y)
	r0 := c.rss(0, n)
	m := max(2, int(math.Floor(trim*float64(n))))
	best := math.Inf(1)
	for k := m; k <= n-m; k++ {
		if r := c.rss(0, k) + c.rss(k, n); r < best {
			best, b.At = r, k
		}
	}
	if !(best > 0) || !(r0 > 0) || math.IsInf(best, 1) {
		return b, false
	}
	b.F = (r0 - best) / (best / float64(n-2))
	b.Before, b.After = mean(y[:b.At]), mean(y[b.At:])
	d := b.After - b.Before
	if d == 0 {
		b.Low, b.High = m, n-m
		return b, true
	}
	n1, n2 := float64(b.At), float64(n-b.At)
	v1, v2 := c.rss(0, b.At)/n1, c.rss(b.At, n)/n2
	if v1 <= 0 || v2 <= 0 {
		v1, v2 = best/float64(n), best/float64(n)
	}
	phi := v2 / v1 // ratio of the variances after and before
	scale := v1 / (d * d)
	up, down := argmaxQuantile(0.975, phi)*scale, argmaxQuantile(0.025, phi)*scale
	b.Low = max(b.At-int(math.Ceil(up)), 0)
	b.High = min(b.At-int(math.Floor(down)), n-1)
	return b, true
}

func mean(y []float64) float64 {
	s := 0.0
	for _, v := range y {
		s += v
	}
	return s / float64(len(y))
}

// argmaxCDF is the distribution of the place of the maximum of a two-sided
// Brownian motion with triangular drift, whose variance on the right is phi times
// that on the left (Bai 1997, appendix B, from memory; equal regressors on both
// sides).
func argmaxCDF(x, phi float64) float64 {
	lognorm := func(z float64) float64 {
		if z < -37 { // asymptotic tail, where the distribution underflows
			return -z*z/2 - math.Log(-z) - 0.5*math.Log(2*math.Pi)
		}
		return math.Log(distuv.UnitNormal.CDF(z))
	}
	if x < 0 {
		x = -x
		f := 1 / phi
		return -math.Exp(math.Log(x)/2-x/8-math.Log(2*math.Pi)/2) -
			phi*(phi+2)/(phi+1)*math.Exp(f*(1+f)*x/2+lognorm(-(0.5+f)*math.Sqrt(x))) +
			(x/2-2+(phi+2)*(phi+2)/(phi+1))*math.Exp(lognorm(-math.Sqrt(x)/2))
	}
	f := 1 / phi
	return 1 + math.Sqrt(f)*math.Exp(math.Log(x)/2-f*x/8-math.Log(2*math.Pi)/2) +
		(1/phi)*(2*phi+1)/(phi+1)*math.Exp((phi+1)*x/2+lognorm(-(phi+0.5)/math.Sqrt(phi)*math.Sqrt(x))) -
		((2*phi+1)*(2*phi+1)/((phi+1)*phi)-2+f*x/2)*math.Exp(lognorm(-math.Sqrt(f*x)/2))
}

func argmaxQuantile(p, phi float64) float64 {
	lo, hi := -1e-9, 1e-9
	for argmaxCDF(lo, phi) > p && lo > -1e6 {
		lo *= 2
	}
	for argmaxCDF(hi, phi) < p && hi < 1e6 {
		hi *= 2
	}
	for range 80 {
		m := (lo + hi) / 2
		if argmaxCDF(m, phi) < p {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
