package reconstruct

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/trace"
)

// A receiver's reflections (common practice, no source).
const (
	leapLeast = 1.0 // m/s, what noise may add between neighbouring readings
	leapSpan  = 4.0 // s that a reflection may last
	leapShare = 0.2 // 1, most of the readings that may lie within reflections
)

// withoutLeaps is a receiver's speed without stretches that begin and end with a change
// faster than any car makes, as reflections do: where nothing feels acceleration, the movement
// would follow them. So go those that begin with a leap and fade, or creep in and end with one (loneLeap).
// The channel itself is left as it is, and is returned where nothing leaps, or where so much leaps that the
// receiver is just noisy.
func withoutLeaps(c *dictionary.Channel) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	drop := make([]bool, len(t))
	first, last, lost := -1, -1, 0
	var lone []int
	end := func() {
		if first >= 0 && first == last {
			lone = append(lone, first)
		}
		for k := first; k >= 0 && k < last; k++ {
			drop[k] = true
			lost++
		}
	}
	for i := 1; i < len(t); i++ {
		if math.Abs(v[i]-v[i-1]) <= leapLeast+mostSlowing*(t[i]-t[i-1]) {
			continue
		}
		if first < 0 || t[i]-t[last] > leapSpan/2 || t[i]-t[first] > leapSpan {
			end()
			first = i
		}
		last = i
	}
	end()
	for _, k := range lone {
		if i, j, ok := loneLeap(t, v, k); ok {
			for ; i < j; i++ {
				if !drop[i] {
					drop[i] = true
					lost++
				}
			}
		}
	}
	if lost == 0 || float64(lost) > leapShare*float64(len(t)) {
		return c
	}
	var out trace.Trace
	for i := range t {
		if !drop[i] {
			out.T, out.V = append(out.T, t[i]), append(out.V, v[i])
		}
	}
	d := *c
	d.Trace = out
	return &d
}
