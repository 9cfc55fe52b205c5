package reconstruct

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
)

// A receiver's reflections (common practice, no source).
const (
	leapLeast = 0.5  // m/s off the slope around, what noise may add between neighbouring readings
	leapPull  = 10.0 // m/s², by how much acceleration may leave that slope: a shift
	leapSDs   = 6.0  // 1, robust standard deviations that noise may add at most
	leapSlope = 4    // readings on either side that tell the slope
	leapSpan  = 6.0  // s that a reflection may last
	leapShare = 0.2  // 1, most of the readings that may lie within reflections
)

// withoutLeaps is a receiver's speed without stretches that begin with a change faster than any
// car makes and end with one back, as reflections do: where nothing feels acceleration, the movement
// would follow them. So go those that begin with a leap and fade, or creep in and end with one (loneLeap).
// The channel itself is left as it is, and is returned where nothing leaps, or where so much leaps that the
// receiver is just noisy.
func withoutLeaps(c *dictionary.Channel) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	drop := make([]bool, len(t))
	lost := 0
	remove := func(i, j int) {
		for ; i < j; i++ {
			if !drop[i] {
				drop[i] = true
				lost++
			}
		}
	}
	at, by := leaps(t, v)
	for n := 0; n < len(at); n++ {
		last := -1 // the last leap of those that follow which leads back
		for m := n + 1; m < len(at) && t[at[m]]-t[at[n]] <= leapSpan; m++ {
			if by[m]*by[n] < 0 && math.Abs(by[m]+by[n]) < math.Max(math.Abs(by[m]), math.Abs(by[n]))/2 {
				last = m
				break
			}
		}
		if last >= 0 {
			remove(at[n], at[last])
			n = last
			continue
		}
		if i, j, ok := loneLeap(t, v, at[n]); ok {
			remove(i, j)
		}
	}
	if lost == 0 || float64(lost) > leapShare*float64(len(t)) {
		return c
	}
	return without(c, drop)
}

// leaps are the readings to which a speed leaps, and by how much, m/s beyond the slope around them.
func leaps(t, v []float64) (at []int, by []float64) {
	if len(t) < 3*leapSlope {
		return nil, nil
	}
	off := make([]float64, len(t))
	near := make([]float64, 0, 2*leapSlope)
	var size []float64
	for i := 1; i < len(t); i++ {
		near = near[:0]
		for j := max(1, i-leapSlope); j <= min(len(t)-1, i+leapSlope); j++ {
			if j != i {
				near = append(near, (v[j]-v[j-1])/(t[j]-t[j-1]))
			}
		}
		off[i] = v[i] - v[i-1] - stats.Median(near)*(t[i]-t[i-1])
		if v[i] > stillSpeed {
			size = append(size, math.Abs(off[i]))
		}
	}
	if len(size) == 0 {
		return nil, nil
	}
	noise := leapSDs * 1.4826 * stats.Median(size)
	for i := 1; i < len(t); i++ {
		if math.Abs(off[i]) > math.Max(leapLeast, noise)+leapPull*(t[i]-t[i-1]) {
			at, by = append(at, i), append(by, off[i])
		}
	}
	return at, by
}
