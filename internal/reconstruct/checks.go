package reconstruct

import (
	"math"
	"sort"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/trace"
)

// No car slows faster than its tyres and brakes let it (common practice, no source:
// 1.2 g and some for a racing tyre with down-force).
const (
	mostSlowing = 25.0 // m/s², beyond any braking
	fallMargin  = 4.0  // m/s, what noise and a slow reading may add
	gapMost     = 6.0  // s that a fault may last to be bridged
)

// withoutGaps is a speed channel without readings that no car can have shown: a fall
// faster than any braking, from which the reading comes back to where it was. The
// channel itself is left as it is.
func withoutGaps(c *dictionary.Channel) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	var out trace.Trace
	dropped := false
	for i, j := 0, -1; i < len(t); i++ {
		if j >= 0 && v[i] < v[j]-fallMargin-mostSlowing*(t[i]-t[j]) {
			back := -1
			for k := i; k < len(t) && t[k]-t[j] < gapMost; k++ {
				if math.Abs(v[k]-v[j]) > fallMargin+0.5*mostSlowing*(t[k]-t[j]) {
					continue
				}
				if back < 0 {
					back = k
				}
				if k > 0 && v[k]-v[k-1] > fallMargin+mostSlowing*(t[k]-t[k-1]) {
					back = k // it leaps back: what lay before was no braking, however long it lasted
					break
				}
			}
			if back > i {
				i, dropped = back, true
			}
		}
		out.T, out.V = append(out.T, t[i]), append(out.V, v[i])
		j = i
	}
	if !dropped {
		return c
	}
	d := *c
	d.Trace = out
	return &d
}

// moves reports whether a channel that runs from 0 to 1 goes over a fifth of its way.
func moves(c *dictionary.Channel) bool {
	if c == nil || c.Trace.Len() < 5 {
		return false
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range c.Trace.V {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return hi-lo > 0.2
}

// swapped reports whether the wheels that should only roll are those that spin: under
// power they run ahead of the others, against how both run while the car pulls least.
func (s *signals) swapped() bool {
	if len(s.undriven) == 0 || len(s.driven) == 0 {
		return false
	}
	mean := func(list []*dictionary.Channel, t float64) float64 {
		sum := 0.0
		for _, c := range list {
			sum += sampleAt(c.Trace, t, 0.3)
		}
		return sum / float64(len(list))
	}
	type point struct{ pull, ahead float64 }
	var p []point
	const step, half = 0.05, 0.2 // s
	for t := s.start + half; t < s.end-half; t += step {
		u, d := mean(s.undriven, t), mean(s.driven, t)
		u1, u2 := mean(s.undriven, t-half), mean(s.undriven, t+half)
		d1, d2 := mean(s.driven, t-half), mean(s.driven, t+half)
		if !(math.Min(u, d) > 6) || !(math.Min(u2, d2) > 6) {
			continue
		}
		pull := math.Min(u2-u1, d2-d1) / (2 * half)
		if pull > -2 && pull < 15 {
			p = append(p, point{pull, math.Log(u / d)})
		}
	}
	if len(p) < 100 {
		return false
	}
	sort.SliceStable(p, func(i, j int) bool { return p[i].pull < p[j].pull })
	ahead := func(q []point) []float64 {
		var x []float64
		for _, e := range q {
			x = append(x, e.ahead)
		}
		return x
	}
	// Tyres that spin from start to end spin most in the top gear, where the car pulls least:
	// which axle it is that runs far ahead decides then.
	far := 0
	for _, e := range p {
		switch {
		case e.ahead > farAhead:
			far++
		case e.ahead < -farAhead:
			far--
		}
	}
	if all := ahead(p); far < 0 {
		return false
	} else if far > len(p)/10 && quantile(all, 0.9)-quantile(all, 0.1) > farAhead {
		return true
	}
	n := len(p)
	if p[n-1-n/8].pull < 2 {
		return false // nothing pulls: nothing spins
	}
	least, most := ahead(p[:n/5]), ahead(p[n-n/4:])
	return stats.Median(most)-stats.Median(least) > 0.012 && quantile(most, 0.9)-stats.Median(least) > 0.025
}

// farAhead is the logarithm of a ratio of wheel speeds that no scale of a sensor explains.
const farAhead = 0.1

const swappedNote = "the wheels that should only roll run ahead under power: front and rear wheel channels are taken as exchanged; if they are not, the car sheet names the wrong driven axle"
