package reconstruct

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/trace"
)

// A receiver under reflections scatters from reading to reading (common practice, no source).
const (
	burstGap   = 0.5 // s that readings in a burst may lie on their neighbours' line by chance
	burstLeast = 5   // readings off that line that make a burst; a lone outlier makes three
	burstSDs   = 6.0 // 1, robust standard deviations that are off
	burstOff   = 0.3 // m/s, and no less than this
	burstJump  = 6.0 // m/s², half the most by which acceleration jumps from one reading to the next: a shift
)

// withoutBursts is a receiver's speed without the stretches in which it scatters far more than it
// does elsewhere. All of a stretch goes: a few of its readings always happen to lie
// where a car could be, and speed drawn through them leaps from one to the next.
func withoutBursts(c *dictionary.Channel) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	n := len(t)
	if n < 20 {
		return c
	}
	off, size := make([]float64, n), make([]float64, 0, n)
	for i := 1; i+1 < n; i++ {
		f := (t[i] - t[i-1]) / (t[i+1] - t[i-1])
		off[i] = math.Abs(v[i] - v[i-1] - f*(v[i+1]-v[i-1]))
		if v[i] > stillSpeed {
			size = append(size, off[i])
		}
	}
	if len(size) < 20 {
		return c
	}
	usual := burstSDs * 1.4826 * stats.Median(size)
	drop := make([]bool, n)
	lost := 0
	first, last, count := -1, -1, 0
	end := func() {
		if count >= burstLeast {
			for k := first; k <= last; k++ {
				drop[k] = true
				lost++
			}
		}
		first, count = -1, 0
	}
	for i := 1; i+1 < n; i++ {
		if off[i] <= math.Max(usual, burstOff+burstJump*(t[i+1]-t[i-1])/2) {
			continue
		}
		if first >= 0 && t[i]-t[last] > burstGap {
			end()
		}
		if first < 0 {
			first = i
		}
		last = i
		count++
	}
	end()
	if lost == 0 || float64(lost) > leapShare*float64(n) {
		return c
	}
	return without(c, drop)
}

// without is the channel without the readings marked.
func without(c *dictionary.Channel, drop []bool) *dictionary.Channel {
	var out trace.Trace
	for i, gone := range drop {
		if !gone {
			out.T, out.V = append(out.T, c.Trace.T[i]), append(out.V, c.Trace.V[i])
		}
	}
	d := *c
	d.Trace = out
	return &d
}
