package airpath

import (
	"math"

	"traplight/internal/num/trend"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// stayed is the recovery when boost does not seem to have fallen below a level: none,
// with a spread that reaches to where it would have been back if it did after all.
func (b *boost) stayed(x trace.Trace, end, level quantity.Estimate) *quantity.Estimate {
	e := &quantity.Estimate{}
	if fell, back := b.dip(x, end, level); fell > doubt && back > end.Value {
		e.SD = (back - end.Value) / z90
	}
	return e
}

// dip is the chance, 0–1, that boost fell below a level (Pa gauge, the sensor's
// reading) within the shift's reach, and when, s, it would then have been back at the
// latest.
func (b *boost) dip(x trace.Trace, end, level quantity.Estimate) (fell, back float64) {
	k := -1
	for j := range x.T {
		if x.T[j] <= end.Value+fallWithin && (k < 0 || x.V[j] < x.V[k]) {
			k = j
		}
	}
	if k < 0 {
		return 0, 0
	}
	reach := max(0.12, 4*b.step)
	w := x.Slice(x.T[k]-reach, x.T[k]+2*reach)
	if w.Len() < 4 {
		return 0, 0
	}
	c := trend.Fit(w.T, w.V, b.noise)
	lo, at, ok := c.Lowest(x.T[k]-reach, x.T[k]+reach)
	if !ok {
		return 0, 0
	}
	_, sd, _, _ := c.At(at)
	sd = math.Hypot(sd, level.SD)
	if sd == 0 {
		return 0, 0
	}
	fell = 0.5 * math.Erfc((lo-level.Value)/sd/math.Sqrt2)
	back, ok = c.Rise(lo+2*sd, at)
	if !ok {
		back = w.T[w.Len()-1]
	}
	return fell, back
}
