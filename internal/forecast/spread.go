package forecast

import (
	"math"
	"slices"
)

// Spread is a forecast quantity.
type Spread struct {
	Mean, SD      float64 // own unit
	P05, P50, P95 float64 // own unit, quantiles
}

// summary is the spread of figures without NaN.
func summary(x []float64) Spread {
	s := slices.Clone(x)
	slices.Sort(s)
	var sum, ss float64
	for _, v := range s {
		sum += v
	}
	mean := sum / float64(len(s))
	for _, v := range s {
		ss += (v - mean) * (v - mean)
	}
	q := func(p float64) float64 {
		u := p * float64(len(s)-1)
		i := int(u)
		if i+1 >= len(s) {
			return s[len(s)-1]
		}
		return s[i] + (u-float64(i))*(s[i+1]-s[i])
	}
	return Spread{Mean: mean, SD: math.Sqrt(ss / float64(max(1, len(s)-1))), P05: q(0.05), P50: q(0.5), P95: q(0.95)}
}

// stretch moves every draw from the middle of all by a factor.
func stretch(runs []outcome, w float64) {
	about := func(get func(*outcome) *float64) {
		var x []float64
		for i := range runs {
			if v := *get(&runs[i]); !math.IsNaN(v) {
				x = append(x, v)
			}
		}
		if len(x) == 0 {
			return
		}
		mid := summary(x).P50
		for i := range runs {
			v := get(&runs[i])
			*v = mid + w*(*v-mid)
		}
	}
	about(func(o *outcome) *float64 { return &o.trap })
	about(func(o *outcome) *float64 { return &o.time })
	about(func(o *outcome) *float64 { return &o.gain })
}
