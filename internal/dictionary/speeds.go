package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// isSpeed lists the quantities that are speeds of travel.
func isSpeed(q quantity.Name) bool {
	switch q {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.DrivenSpeed, quantity.VehicleSpeed, quantity.GPSSpeed:
		return true
	}
	return false
}

// referenceSpeed is the speed, m/s, that others are held against, and whence it
// is: that along the positions, way, else a speed whose unit the file tells.
func referenceSpeed(set *Set, way trace.Trace) (trace.Trace, string) {
	if way.Len() > 20 && top(way) > 5 {
		return way, "the positions"
	}
	var best *Channel
	for i := range set.Channels {
		c := &set.Channels[i]
		if !isSpeed(c.Quantity) || !c.toldUnit || c.Trace.Len() < 20 || top(c.Trace) < 5 {
			continue
		}
		rank := func(c *Channel) float64 {
			r := c.Confidence
			switch c.Quantity {
			case quantity.GPSSpeed:
				r += 1
			case quantity.VehicleSpeed:
				r += 0.5
			}
			if off, ok := acceleratedBy(set, c.Trace); ok && math.Abs(off) > slopeFar {
				r -= 2 // its unit lies, unless that of all speeds does
			}
			return r
		}
		if best == nil || rank(c) > rank(best) {
			best = c
		}
	}
	if best == nil {
		return trace.Trace{}, ""
	}
	return best.Trace, fmt.Sprintf("channel %q", best.Name)
}

func top(x trace.Trace) float64 {
	m := 0.0
	for _, v := range x.V {
		m = max(m, v)
	}
	return m
}

// positionSpeed is the speed, m/s, along the positions, over steps of about half
// a second.
func positionSpeed(set *Set) trace.Trace {
	lat, lon := set.First(quantity.Latitude), set.First(quantity.Longitude)
	if lat == nil || lon == nil || lat.Trace.Len() < 10 {
		return trace.Trace{}
	}
	var out trace.Trace
	t := lat.Trace.T
	type step struct {
		mid, dx, dy, dt float64 // s, m, m, s
	}
	var steps []step
	j := 0
	for i := range t {
		for j+1 < len(t) && t[j]-t[i] < 0.45 {
			j++
		}
		dt := t[j] - t[i]
		if dt < 0.4 || dt > 3 {
			continue
		}
		a, okA := lon.Trace.At(t[i])
		b, okB := lon.Trace.At(t[j])
		if !okA || !okB {
			continue
		}
		steps = append(steps, step{(t[i] + t[j]) / 2, earthRadius * (b - a) * math.Cos(lat.Trace.V[i]), earthRadius * (lat.Trace.V[j] - lat.Trace.V[i]), dt})
	}
	// A coordinate that takes part in the way and of a sudden stands to the last digit while
	// the other goes on is not read any more, and what the other alone tells is no speed.
	const moving, part = 5.0, 0.1 // m/s; share of the way
	x, y := 0, 0
	for _, s := range steps {
		if far := math.Hypot(s.dx, s.dy); far > moving*s.dt && s.dx != 0 && s.dy != 0 {
			if math.Abs(s.dx) > part*far {
				x++
			}
			if math.Abs(s.dy) > part*far {
				y++
			}
		}
	}
	for _, s := range steps {
		v := math.Hypot(s.dx, s.dy) / s.dt
		if v > moving && (s.dx == 0 && x > fewParts || s.dy == 0 && y > fewParts) {
			continue
		}
		if v < 150 && (len(out.T) == 0 || s.mid > out.T[len(out.T)-1]) {
			out.T = append(out.T, s.mid)
			out.V = append(out.V, v)
		}
	}
	return out
}

// fewParts is the number of steps in which a coordinate must have taken part in the way.
const fewParts = 20

// settleSpeeds holds every speed against the reference.
func settleSpeeds(set *Set, ref trace.Trace, how string) {
	type doubted struct {
		c           *Channel
		middle, low float64 // ratio to the reference: median, and while its wheel spins least
	}
	var spun []doubted
	lies := map[string]quantity.Unit{} // unit that the file tells of wheels → unit in which they go with the reference
	for i := range set.Channels {
		c := &set.Channels[i]
		if !isSpeed(c.Quantity) || c.Trace.Len() < 10 || len(c.Trace.V) > 0 && len(ref.V) > 0 && &c.Trace.V[0] == &ref.V[0] {
			continue
		}
		ratios := ratiosTo(c.Trace, ref, c.RateHz)
		if len(ratios) < 10 {
			continue
		}
		at := func(k int) float64 { return stats.Select(ratios, k) }
		r := at(len(ratios) / 2)
		q := func(p float64) float64 { return at(int(p * float64(len(ratios)-1))) }
		steady := q(0.85) < unitSteady*q(0.15) && q(0.9) < unitWide*q(0.1)
		if math.Abs(r-1) <= agree && (c.toldUnit || !steady || math.Abs(r-1) <= unitAgree || !settleUnit(set, c, r, how)) {
			if !c.toldUnit {
				c.Confidence = max(c.Confidence, min(0.95, c.nameScore))
				c.toldUnit = true
			}
			continue
		}
		told := c.Unit
		switch {
		case c.toldUnit && !steady || !settleUnit(set, c, r, how):
			spun = append(spun, doubted{c, r, q(0.25)})
		case c.toldUnit && c.Unit != told:
			lies[told], _ = quantity.ParseUnit(c.Unit)
		}
	}
	// Wheels that spin go with no reference, but their unit is that of the wheels beside them.
	for _, d := range spun {
		u, ok := quantity.ParseUnit(d.c.Unit)
		o, lie := lies[d.c.Unit]
		if !ok || !lie || math.Abs(d.low*o.Factor/u.Factor-1) > agree || !settleUnit(set, d.c, u.Factor/o.Factor, how) {
			d.c.doubtSpeed(d.middle, how)
		}
	}
}

// doubtSpeed says that a speed does not go with the reference.
func (c *Channel) doubtSpeed(ratio float64, how string) {
	c.problem(fmt.Sprintf("reads %.2f times the speed of %s", ratio, how))
	c.Confidence *= 0.7
}

// ratiosTo are those of a speed to the reference, in the upper part of its range.
func ratiosTo(x, ref trace.Trace, rate float64) []float64 {
	fast := 0.3 * top(ref)
	var ratios []float64
	for k, t := range ref.T {
		if ref.V[k] < max(3, fast) {
			continue
		}
		if v, ok := near(x, t, 1.5/max(rate, 1)); ok && v > 0 {
			ratios = append(ratios, v/ref.V[k])
		}
	}
	return ratios
}

// settleUnit gives a speed that reads ratio times the reference the unit in which
// it agrees; false when there is none. A unit that is not understood stays.
func settleUnit(set *Set, c *Channel, ratio float64, how string) bool {
	u, ok := quantity.ParseUnit(c.Unit)
	if !ok {
		return true
	}
	for _, p := range unitPrior[quantity.DimSpeed] {
		o := quantity.MustUnit(p.unit)
		if math.Abs(ratio*o.Factor/u.Factor-1) > unitAgree {
			continue
		}
		if c.toldUnit {
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q says %s but goes as fast as %s only in %s, which is taken", c.Name, u.Symbol, how, o.Symbol))
			c.Confidence = min(c.Confidence, 0.7)
		} else {
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q is in %s by comparison with %s", c.Name, o.Symbol, how))
			c.Confidence = max(c.Confidence, min(0.9, c.nameScore))
		}
		c.rescale(o.Factor / u.Factor)
		c.Unit = o.String()
		return true
	}
	return false
}

// near is the sample nearest to t, s, if it is within reach, s.
func near(x trace.Trace, t, reach float64) (float64, bool) {
	i, found := slices.BinarySearch(x.T, t)
	if found {
		return x.V[i], true
	}
	best, at := math.Inf(1), -1
	for _, k := range []int{i - 1, i} {
		if k >= 0 && k < len(x.T) {
			if d := math.Abs(x.T[k] - t); d < best {
				best, at = d, k
			}
		}
	}
	if at < 0 || best > max(reach, 0.06) {
		return 0, false
	}
	return x.V[at], true
}
