package reconstruct

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
)

// coarse is a first idea of the car's speed over the whole log, on a grid: good
// to a few per cent, enough to tell where the passes are.
type coarse struct {
	start, step float64   // s, run clock
	v           []float64 // m/s, NaN where nothing tells
	byEngine    bool      // v was made from engine speed
	lag         float64   // s by which v is late, where it rests on a satellite receiver
}

const coarseStep = 0.05 // s

// roughly builds the coarse speed. Wheels that only roll and satellites are
// preferred; driven wheels serve when nothing else does, at their least.
func (s *signals) roughly() *coarse {
	c := &coarse{start: s.start, step: coarseStep, byEngine: s.byEngine}
	n := int((s.end-s.start)/coarseStep) + 1
	if !(s.end > s.start) {
		return c
	}
	c.v = make([]float64, n)
	gap := func(ch *dictionary.Channel) float64 {
		g := 0.6
		if ch.RateHz > 0 {
			g = math.Max(g, 2.5/ch.RateHz)
		}
		return g
	}
	var last float64
	for i := range c.v {
		t := c.start + float64(i)*c.step
		var roll, sat, drive []float64
		for _, w := range s.undriven {
			if v := sampleAt(w.Trace, t, gap(w)); !math.IsNaN(v) {
				roll = append(roll, math.Abs(v))
			}
		}
		for _, w := range s.sat {
			if v := sampleAt(w.Trace, t, gap(w)); !math.IsNaN(v) {
				sat = append(sat, v)
			}
		}
		for _, w := range s.driven {
			if v := sampleAt(w.Trace, t, gap(w)); !math.IsNaN(v) {
				drive = append(drive, math.Abs(v))
			}
		}
		switch {
		case len(roll) > 0:
			v := stats.Median(roll)
			// a braked or stuck wheel against a satellite: believe what is nearer to where we were
			if len(sat) > 0 && math.Abs(v-sat[0]) > 3+0.25*math.Max(v, sat[0]) && math.Abs(sat[0]-last) < math.Abs(v-last) {
				v = sat[0]
			}
			c.v[i] = v
		case len(sat) > 0:
			c.v[i] = stats.Median(sat)
		case len(drive) > 0:
			m := drive[0]
			for _, v := range drive {
				m = math.Min(m, v)
			}
			c.v[i] = m
		default:
			c.v[i] = math.NaN()
		}
		if !math.IsNaN(c.v[i]) {
			last = c.v[i]
		}
	}
	c.bridge()
	if len(s.undriven) == 0 && len(s.sat) > 0 {
		c.lag = 0.15
	}
	return c
}

// hardest is what no car slows or gathers speed by, m/s², for the whole way between
// driving and standing.
const hardest = 12.0

// bridgeable is how long, s, a hole between two speeds may be and still be one movement: 4 s; longer
// where the car cannot have come to a stand and be as fast again; and 6 s where it drives faster
// behind than before, since a car that stops and is staged takes longer.
func bridgeable(before, behind float64) float64 {
	most := math.Max(4, (before+behind)/hardest)
	if before > rollsOn && behind > before {
		most = math.Max(most, 6)
	}
	return most
}

const rollsOn = 3.0 // m/s, faster than a car creeps to the line

// bridge fills holes by straight lines.
func (c *coarse) bridge() {
	last := -1
	for i, v := range c.v {
		if math.IsNaN(v) {
			continue
		}
		if last >= 0 && i-last > 1 && float64(i-last)*c.step <= bridgeable(c.v[last], v) {
			for k := last + 1; k < i; k++ {
				f := float64(k-last) / float64(i-last)
				c.v[k] = c.v[last] + f*(v-c.v[last])
			}
		}
		last = i
	}
}

// at is the coarse speed at t, m/s; 0 outside and in holes. What lies within 0.3 s of the
// log's end is taken as the end itself: the grid stops short of it, a receiver's lag more so.
func (c *coarse) at(t float64) float64 {
	x := (t + c.lag - c.start) / c.step
	if last := float64(len(c.v) - 1); x > last && x < last+0.3/c.step && last >= 1 {
		x = last - 1e-9
	}
	i := int(math.Floor(x))
	if i < 0 || i+1 >= len(c.v) {
		return 0
	}
	u := x - float64(i)
	v := c.v[i] + u*(c.v[i+1]-c.v[i])
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// stretch is a piece of a log that may be a pass.
type stretch struct {
	move    float64 // s, run clock: the coarse speed leaves standstill
	before  float64 // s: end of the movement before, or the log's start
	peak    float64 // s: highest coarse speed
	end     float64 // s: standstill again, or the log's end
	top     float64 // m/s
	reached float64 // m, coarse distance to the end
	late    bool    // the log begins with the car moving: no launch
}

// Limits of what counts as a pass rather than a creep, a burnout or a drive back.
const (
	stillSpeed = 0.6  // m/s, coarse speed of a standing car
	passSpeed  = 14.0 // m/s that a pass exceeds
	passPull   = 1.7  // m/s², mean acceleration v²/2x that a pass exceeds from the start to some speed above passSpeed
)

// passes cuts the coarse speed into stretches that are passes, and counts the
// other movements. late is one that the log begins in.
func (c *coarse) passes() (out []stretch, other int, late *stretch) {
	n := len(c.v)
	t := func(i int) float64 { return c.start + float64(i)*c.step }
	before := c.start
	for i := 0; i < n; {
		if !(c.v[i] > stillSpeed) {
			i++
			continue
		}
		j := i
		x := 0.0
		top, peak := 0.0, i
		good := false
		rest := 0
		stop := n - 1
		for ; j < n; j++ {
			v := c.v[j]
			if math.IsNaN(v) {
				stop = j
				break
			}
			if v <= stillSpeed {
				if rest++; rest >= 4 {
					stop = j - 3
					break
				}
			} else {
				rest = 0
			}
			x += v * c.step
			if v > top {
				top, peak = v, j
			}
			if v > passSpeed && v*v/(2*math.Max(x, 0.1)) > passPull {
				good = true
			}
		}
		atStart := i == 0 || math.IsNaN(c.v[max(0, i-1)])
		switch {
		case good && atStart:
			late = &stretch{move: t(i), before: before, peak: t(peak), end: t(stop), top: top, reached: x, late: true}
		case good && c.byEngine && (top < 25 || t(stop)-t(i) < 6):
			other++
		case good:
			out = append(out, stretch{move: t(i), before: before, peak: t(peak), end: t(stop), top: top, reached: x})
		case top > 1.5:
			other++
		}
		before = t(stop)
		i = max(stop, i) + 1
		if j >= n {
			break
		}
	}
	return
}
