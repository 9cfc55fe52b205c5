package airpath

import (
	"fmt"
	"math"
	"sort"

	"traplight/internal/num/trend"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

const (
	// Share of the boost wanted back that counts as recovered (design, section 2).
	recovered = 0.95
	// Boost before a shift is looked at over this long, s.
	lookBack = 0.4
	// "Before the shift" is the mean over this long before it begins, s: what boost
	// was, not what its last tremble was.
	beforeMean = 0.1
	// A fall that begins later than this after the shift's end, s, is not the
	// shift's.
	fallWithin = 0.6
	// The curve where boost comes back is fitted over this long before and after, s:
	// soon after, the control catches boost with a corner that is none of the recovery's.
	around, aroundAfter = 0.25, 0.06
	// What corners of the true curve between samples cost, as a share of the step
	// between samples beyond 10 ms, within which boost has none: found by thinning the
	// simulated logs.
	rareSampling, rareFrom = 0.12, 0.01
	// A dip below the level is doubted when its chance is farther than this from 0 or
	// 1; z90 makes a 90 % interval of a standard deviation.
	doubt, z90 = 0.03, 1.645
	// Boost below which "recovery" has no meaning, Pa gauge.
	leastBoost = 5e3
)

// shift fills in the boost figures of shift i.
func (b *boost) shift(p *pass.Pass, i int, begin begin, ts *targets) []string {
	s := &p.Shifts[i]
	before, ok := b.before(p, i, begin)
	if !ok {
		return []string{fmt.Sprintf("shift %d-%d: no boost figures, the manifold pressure has too few samples about it", s.From, s.To)}
	}
	unread := func(what string) []string {
		return []string{fmt.Sprintf("shift %d-%d: %s, the manifold pressure was not read then", s.From, s.To, what)}
	}
	if a, z := b.hole(begin.Value-beforeMean, begin.Value); z-a > bridged {
		return unread("no boost figures")
	}
	pre := before.Value - b.offset
	s.BoostBefore = &pre

	g := gearAfter(p, i)
	until := s.End.Value + 6
	if g != nil {
		until = g.End
	}
	if i+1 < len(p.Shifts) {
		until = min(until, p.Shifts[i+1].Start.Value-0.02)
	}
	wanted := before
	var aim quantity.Estimate
	aimed := false
	if g != nil {
		if aim, aimed = ts.reading(g, b); aimed {
			v := aim.Value - b.offset
			s.BoostTarget = &v
			wanted = lesser(before, aim)
		}
	}
	if lo, _, ok := b.lowest(begin.Value, min(until, s.End.Value+1.5)); ok && !b.holed(begin.Value, min(until, s.End.Value+fallWithin)) {
		lo = min(lo, before.Value) - b.offset
		s.BoostMin = &lo
	}
	if pre < leastBoost {
		return []string{fmt.Sprintf("shift %d-%d: no recovery time, there was no boost to lose", s.From, s.To)}
	}
	s.Recovery = b.recovery(begin.Value, until, s.End, b.level(wanted))
	if aimed {
		s.ToTarget = b.recovery(begin.Value, until, s.End, b.level(aim))
	}
	hidden := false
	for _, r := range []**quantity.Estimate{&s.Recovery, &s.ToTarget} {
		if *r != nil && !b.seen(*r, begin.Value, min(until, s.End.Value+fallWithin), s.End.Value) {
			*r, hidden = nil, true
		}
	}
	if hidden {
		return unread("no recovery time")
	}
	if s.Recovery == nil {
		return []string{fmt.Sprintf("shift %d-%d: boost did not come back to 95 %% in that gear", s.From, s.To)}
	}
	return nil
}

const (
	// A hole in the readings is longer than this, s, and than so many usual steps.
	holeLeast, holeSteps = 0.12, 3.5
	// Over a hole of this long, s, a figure is given with a spread that covers it; over
	// longer ones none is.
	bridged = 0.5
)

// hole is the first hole in the readings that touches the time between two moments, s: its
// ends, both 0 without one.
func (b *boost) hole(from, to float64) (a, z float64) {
	t := b.gauge.T
	for k := max(1, sort.SearchFloat64s(t, from)); k < len(t) && t[k-1] < to; k++ {
		if t[k]-t[k-1] > max(holeLeast, holeSteps*b.step) {
			return t[k-1], t[k]
		}
	}
	return 0, 0
}

func (b *boost) holed(from, to float64) bool {
	a, z := b.hole(from, to)
	return z > a
}

// seen says whether a recovery may stand where readings are missing. Boost that seems to have
// been back at once may have fallen unseen from one moment to another, s, and what crosses its
// level in a hole did so anywhere in it: over a short hole the spread tells that.
func (b *boost) seen(r *quantity.Estimate, from, to, end float64) bool {
	if r.Value > 0 {
		from, to = end+r.Value-0.02, end+r.Value+0.02
	}
	a, z := b.hole(from, to)
	switch {
	case z <= a, r.Value == 0 && z <= end:
		return true
	case z-a > bridged:
		return false
	case r.Value == 0:
		r.SD = math.Hypot(r.SD, (z-end)/z90)
	default:
		a = max(a, end)
		r.Value, r.SD = (a+z)/2-end, math.Hypot(r.SD, (z-a)/2/z90)
	}
	return true
}

// level is 95 % of a gauge boost that is known in the sensor's reading, again in
// the sensor's reading, Pa. The sensor's offset does not shrink with the boost.
func (b *boost) level(wanted quantity.Estimate) quantity.Estimate {
	return quantity.Estimate{
		Value: recovered*(wanted.Value-b.offset) + b.offset,
		SD:    math.Hypot(recovered*wanted.SD, (1-recovered)*b.offsetSD),
	}
}

// lesser is the smaller of two estimates of which either may be it: the mean and
// spread of the minimum of two normal variables (C. E. Clark, Operations Research 9
// (1961) 145–162, from memory).
func lesser(a, b quantity.Estimate) quantity.Estimate {
	theta := math.Hypot(a.SD, b.SD)
	if theta == 0 {
		if b.Value < a.Value {
			return b
		}
		return a
	}
	z := (b.Value - a.Value) / theta
	pa := 0.5 * math.Erfc(-z/math.Sqrt2) // chance that a is the lesser
	pdf := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	m1 := a.Value*pa + b.Value*(1-pa) - theta*pdf
	m2 := (a.Value*a.Value+a.SD*a.SD)*pa + (b.Value*b.Value+b.SD*b.SD)*(1-pa) - (a.Value+b.Value)*theta*pdf
	return quantity.Estimate{Value: m1, SD: math.Sqrt(max(m2-m1*m1, 0))}
}

// before is the boost before a shift, Pa gauge as the sensor has it: the mean over
// the last 0.1 s (the middle of it, on a smooth curve) through samples that have
// none of the fall among them.
func (b *boost) before(p *pass.Pass, i int, begin begin) (quantity.Estimate, bool) {
	from := begin.Value - lookBack
	if i > 0 {
		from = max(from, p.Shifts[i-1].End.Value+0.1)
	}
	// The manifold empties only after the throttle has shut a good part of its way.
	to := begin.Value + 0.005
	x := b.gauge.Slice(from, to)
	if x.Len() < 4 {
		x = b.gauge.Slice(from-2*b.step-0.3, to)
		if x.Len() < 2 {
			return quantity.Estimate{}, false
		}
	}
	c := trend.Fit(x.T, x.V, b.noise)
	v, sd, slope, _ := c.At(begin.Value - beforeMean/2)
	return quantity.Estimate{Value: v, SD: math.Hypot(sd, slope*begin.SD)}, true
}

// lowest is the lowest smoothed boost between two moments, s: Pa gauge as the
// sensor has it, and when.
func (b *boost) lowest(from, to float64) (level, at float64, ok bool) {
	x := b.gauge.Slice(from, to)
	if x.Len() < 4 {
		return 0, 0, false
	}
	lo, hi := x.V[0], x.V[0]
	k := 0
	for j, v := range x.V {
		if v < lo {
			lo, k = v, j
		}
		hi = max(hi, v)
	}
	if k == 0 && hi-lo < 3*math.Sqrt(b.noise) {
		return lo, x.T[0], true
	}
	y := b.gauge.Slice(x.T[k]-0.15, x.T[k]+0.15)
	return trend.Fit(y.T, y.V, b.noise).Lowest(max(from, x.T[k]-0.1), x.T[k]+0.1)
}

// recovery is the time, s, from a shift's end to when boost is back at a level, Pa
// gauge as the sensor has it; nil when it is not back by until. from is when the
// shift began.
func (b *boost) recovery(from, until float64, end, level quantity.Estimate) *quantity.Estimate {
	x := b.gauge.Slice(from, until)
	if x.Len() < 4 {
		return nil
	}
	// A running mean over some 40 ms is smooth enough to find the place.
	half := int(math.Round(0.02 / b.step))
	mean := func(j int) float64 {
		lo, hi := max(0, j-half), min(x.Len()-1, j+half)
		s := 0.0
		for k := lo; k <= hi; k++ {
			s += x.V[k]
		}
		return s / float64(hi-lo+1)
	}
	// Where it falls below, and where it is back for good as far as the shift goes.
	slack := 2 * math.Sqrt(b.noise/float64(2*half+1))
	below, back := -1, -1
	for j := range x.T {
		v := mean(j)
		switch {
		case below < 0 && x.T[j] > end.Value+fallWithin:
			// Whatever falls now is not the shift's.
			return b.stayed(x, end, level)
		case (below < 0 || back >= 0 && x.T[j] <= end.Value+fallWithin) && v < level.Value-slack:
			// It fell, or fell again before the shift was over.
			below, back = j, -1
		case below >= 0 && back < 0 && v >= level.Value:
			back = j
		}
		if back >= 0 && x.T[j] > end.Value+fallWithin {
			break
		}
	}
	if below < 0 {
		return b.stayed(x, end, level)
	}
	if back < 0 {
		return nil
	}
	rough := x.T[back]
	reach := max(around, 4*b.step)
	w := b.gauge.Slice(max(from, rough-reach), min(until, rough+max(aroundAfter, 4*b.step)))
	c := trend.Fit(w.T, w.V, b.noise)
	start := max(x.T[below], rough-max(0.1, 2*b.step))
	at, ok := c.Rise(level.Value, start)
	if !ok {
		at = rough
	}
	_, sd, slope, _ := c.At(at)
	// A curve that creeps up to its level crosses it at no certain time; the spread
	// then is that of the stretch within reach of the level.
	spread := math.Hypot(sd, level.SD) / max(slope, 5e3)
	rare := rareSampling * max(0, b.step-rareFrom)
	e := quantity.Estimate{Value: at - end.Value, SD: math.Sqrt(spread*spread + end.SD*end.SD + sensorLagSD*sensorLagSD + rare*rare)}
	if e.Value < 0 {
		e.Value = 0
	}
	// A dip that only just reached the level may not have done so.
	if fell, _ := b.dip(x, end, level); fell < 1-doubt && e.Value > 0 {
		e.SD = math.Hypot(e.SD, e.Value/z90)
	}
	return &e
}

// gearAfter is the stay in the gear that shift i led to.
func gearAfter(p *pass.Pass, i int) *pass.GearSpan {
	s := p.Shifts[i]
	for k := range p.Gears {
		g := &p.Gears[k]
		if g.Gear == s.To && g.End > s.End.Value && g.Start < s.End.Value+0.5 {
			return g
		}
	}
	return nil
}
