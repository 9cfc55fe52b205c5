package trend

import (
	"math"
	"sort"
)

// At returns the curve's level, its standard deviation and its slope at t, in the
// units of Curve: between samples the cubic that the model implies, beyond them
// the tangent. ok is false for an empty curve.
func (c Curve) At(t float64) (level, sd, slope float64, ok bool) {
	n := len(c.T)
	if n == 0 {
		return 0, 0, 0, false
	}
	i := sort.SearchFloat64s(c.T, t)
	if i == 0 || i == n {
		j := min(i, n-1)
		h := t - c.T[j]
		v := c.LevelVar[j] + h*(2*c.LevelSlope[j]+h*c.SlopeVar[j]) + c.Wander*math.Abs(h*h*h)/3
		return c.Level[j] + h*c.Slope[j], math.Sqrt(max(v, 0)), c.Slope[j], true
	}
	h := c.T[i] - c.T[i-1]
	u := (t - c.T[i-1]) / h
	p0, p1 := c.Level[i-1], c.Level[i]
	m0, m1 := h*c.Slope[i-1], h*c.Slope[i]
	level = p0 + u*(m0+u*(3*(p1-p0)-2*m0-m1+u*(2*(p0-p1)+m0+m1)))
	slope = (m0 + u*(2*(3*(p1-p0)-2*m0-m1)+u*3*(2*(p0-p1)+m0+m1))) / h
	v := (1-u)*c.LevelVar[i-1] + u*c.LevelVar[i]
	// The bridge between two samples adds at most this (a cubic's mid-span).
	v += c.Wander * h * h * h * u * u * (1 - u) * (1 - u) / 3
	return level, math.Sqrt(max(v, 0)), slope, true
}

// Rise returns the first moment at or after from at which the curve comes from
// below level to level, in the units of Curve; at from itself when it is there or
// above already. ok is false when that does not happen within the samples.
func (c Curve) Rise(level, from float64) (t float64, ok bool) {
	n := len(c.T)
	if n == 0 || from > c.T[n-1] {
		return 0, false
	}
	from = max(from, c.T[0])
	v, _, _, _ := c.At(from)
	if v >= level {
		return from, true
	}
	a := from
	for i := sort.SearchFloat64s(c.T, from); i < n; i++ {
		if c.T[i] <= a {
			continue
		}
		if c.Level[i] >= level {
			lo, hi := a, c.T[i]
			for range 40 {
				mid := 0.5 * (lo + hi)
				if v, _, _, _ := c.At(mid); v >= level {
					hi = mid
				} else {
					lo = mid
				}
			}
			return 0.5 * (lo + hi), true
		}
		a = c.T[i]
	}
	return 0, false
}

// Lowest returns the least level at the samples within from ≤ T ≤ to and its
// place, in the units of Curve; ok is false when no sample lies there.
func (c Curve) Lowest(from, to float64) (level, at float64, ok bool) {
	level = math.Inf(1)
	for i, t := range c.T {
		if t >= from && t <= to && c.Level[i] < level {
			level, at, ok = c.Level[i], t, true
		}
	}
	return level, at, ok
}

// NoiseFromDifferences returns the variance of independent noise, squared unit, on a smooth
// column of evenly spaced samples y, own unit: from the median size of its third
// differences, which a curve hardly shows and single jumps do not sway. It is 0 for
// fewer than ten samples.
//
// The third difference of white noise has 20 times its variance, and the median of
// |z| of a standard normal z is 0.6745.
func NoiseFromDifferences(y []float64) float64 {
	if len(y) < 10 {
		return 0
	}
	d := make([]float64, 0, len(y))
	for i := 3; i < len(y); i++ {
		d = append(d, math.Abs(y[i]-3*y[i-1]+3*y[i-2]-y[i-3]))
	}
	sort.Float64s(d)
	m := d[len(d)/2] / 0.6745
	return m * m / 20
}
