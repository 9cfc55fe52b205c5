package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Pressures whose unit or reference lies are found by what binds them. A regulator holds
// fuel a known step over the manifold, one for one. The turbine's inlet rises about as the
// manifold does. Behind a closed throttle a manifold is below the barometer, and the
// exhaust near it.

const (
	leastSwing      = 15 * kPa // by which a manifold pressure moves, as read, to be held against
	oneForOne       = 0.15     // how far a slope may be from one
	baseShare       = 0.15     // how far the regulator's step may be from the sheet's, of it
	followNear      = 15 * kPa // median misfit of fuel from the line
	leastBackup     = 0.6      // slope of turbine inlet over manifold pressure, least and most
	mostBackup      = 3.5
	flatBackup      = 0.4      // below which an engine's exhaust would hardly rise with boost
	closedShare     = 0.12     // throttle, of its range, that is closed
	closedFor       = 0.4      // s, after which a manifold behind it has emptied
	overClosed      = 6 * kPa  // over the barometer behind a closed throttle: no gauge reads that
	mostClosed      = 95 * kPa // and as much as an absolute one may
	backNear        = 60 * kPa // the exhaust's over the barometer then
	closedLeast     = 20       // readings
	fewestFollowing = 10       // readings at either end of a line
	engineTurns     = 60.0     // rad/s
	otherUnitFar    = 3        // a factor below which units are not told apart
)

// settlePressureUnits mends units and references of manifold, fuel and turbine inlet
// pressure that what binds them gives the lie. base is the step of the fuel's regulator,
// Pa, 0 unknown.
func settlePressureUnits(set *Set, cands []*candidate, base float64) {
	at := func(q quantity.Name) (*Channel, *candidate) {
		c := set.First(q)
		for i := range set.Channels {
			if &set.Channels[i] == c && !cands[i].forced && cands[i].best.told && c.Trace.Len() >= 50 {
				return c, cands[i]
			}
		}
		return nil, nil
	}
	manifold, ofManifold := at(quantity.ManifoldPressure)
	if manifold != nil {
		if p, ok := behindClosed(set, manifold); ok && manifold.Gauge && p > set.Barometer+overClosed && p < set.Barometer+mostClosed {
			set.countFromVacuum(manifold)
		}
	}
	if fuel, ofFuel := at(quantity.FuelPressure); fuel != nil && base > 0 {
		set.byRegulator(manifold, ofManifold, fuel, ofFuel, base)
	}
	if back, ofBack := at(quantity.ExhaustPressure); back != nil {
		if p, ok := behindClosed(set, back); ok && back.Gauge && p > set.Barometer+backNear {
			set.countFromVacuum(back)
		}
		set.byManifold(manifold, ofManifold, back, ofBack)
	}
}

// line is how one pressure follows another, both over the barometer.
type line struct {
	at0, slope, misfit float64 // Pa, 1, Pa
}

// follow lays the line of c over the manifold's readings, from a least one over the
// barometer, through the medians of those in the lower and in the upper third of their range. zero is what c reads at the
// barometer, Pa.
func follow(c, manifold *Channel, zero, barometer, least float64) (l line, ok bool) {
	var m, y []float64
	for k, t := range c.Trace.T {
		if p, ok := near(manifold.Trace, t, 0.1); ok && p-barometer > least {
			m, y = append(m, p-barometer), append(y, c.Trace.V[k]-zero)
		}
	}
	if len(m) < 50 {
		return l, false
	}
	low, high := stats.Quantile(m, 0.02), stats.Quantile(m, 0.98)
	low, high = low+0.35*(high-low), high-0.35*(high-low)
	var ml, yl, mh, yh []float64
	for i, p := range m {
		if p <= low {
			ml, yl = append(ml, p), append(yl, y[i])
		}
		if p >= high {
			mh, yh = append(mh, p), append(yh, y[i])
		}
	}
	if len(ml) < fewestFollowing || len(mh) < fewestFollowing {
		return l, false
	}
	from, to := stats.Median(ml), stats.Median(mh)
	if to-from < leastSwing {
		return l, false
	}
	l.slope = (stats.Median(yh) - stats.Median(yl)) / (to - from)
	l.at0 = stats.Median(yl) - l.slope*from
	for i := range m {
		y[i] = math.Abs(y[i] - l.at0 - l.slope*m[i])
	}
	l.misfit = stats.Median(y)
	return l, true
}

// otherUnits are those that pressures have beside the one told.
func otherUnits(told quantity.Unit) (out []otherUnit) {
	for _, u := range []string{"kPa", "bar", "psi"} {
		if f := quantity.MustUnit(u).Factor / told.Factor; f > otherUnitFar || f < 1/float64(otherUnitFar) {
			out = append(out, otherUnit{u, f})
		}
	}
	return out
}

// otherUnit is a unit with by what readings would have to be multiplied were they in it.
type otherUnit struct {
	symbol string
	factor float64
}

// byRegulator looks for the one unit, of fuel or of manifold pressure, in which fuel follows
// the manifold one for one at the sheet's step where as told it does neither.
func (s *Set) byRegulator(manifold *Channel, ofManifold *candidate, fuel *Channel, ofFuel *candidate, base float64) {
	if s.First(quantity.ManifoldPressure) == nil {
		return
	}
	m := manifold
	if m == nil {
		m = s.First(quantity.ManifoldPressure)
	}
	l, ok := follow(fuel, m, 0, s.Barometer, math.Inf(-1))
	if !ok || math.Abs(l.slope-1) < 2*oneForOne {
		return
	}
	step := func(at0 float64) bool { return math.Abs(at0-base) < baseShare*base }
	for _, u := range otherUnits(ofFuel.best.unit) {
		f := u.factor
		at0 := l.at0 * f
		if !fuel.Gauge {
			at0 = (l.at0+s.Barometer)*f - s.Barometer
		}
		if math.Abs(l.slope*f-1) < oneForOne && step(at0) && l.misfit*f < followNear {
			s.inUnit(fuel, u.symbol, f)
			return
		}
	}
	if manifold == nil || l.misfit > followNear {
		return
	}
	for _, u := range otherUnits(ofManifold.best.unit) {
		at0 := l.at0
		if !manifold.Gauge {
			at0 += l.slope * s.Barometer * (1/u.factor - 1)
		}
		if u.factor > 1 && math.Abs(l.slope/u.factor-1) < oneForOne && step(at0) { // a pump that gives out makes slopes below one
			s.inUnit(manifold, u.symbol, u.factor)
			return
		}
	}
}

// byManifold looks for the one unit of turbine inlet pressure in which it rises about as the
// manifold does, where as told it hardly rises, or for that of the manifold's where it rises
// many times as much.
func (s *Set) byManifold(manifold *Channel, ofManifold *candidate, back *Channel, ofBack *candidate) {
	m := s.First(quantity.ManifoldPressure)
	if m == nil {
		return
	}
	l, ok := follow(back, m, s.Barometer, s.Barometer, 0)
	if !ok {
		return
	}
	backup := func(slope float64) bool { return slope > leastBackup && slope < mostBackup }
	switch {
	case l.slope > 0.05 && l.slope < flatBackup:
		s.onlyUnit(back, ofBack, func(f float64) bool { return f > 1 && backup(l.slope*f) })
	case l.slope > mostBackup && manifold != nil:
		s.onlyUnit(manifold, ofManifold, func(f float64) bool { return f > 1 && backup(l.slope/f) })
	}
}

// onlyUnit takes the one other unit that fits, and none where several do.
func (s *Set) onlyUnit(c *Channel, of *candidate, fits func(factor float64) bool) {
	var fit []otherUnit
	for _, u := range otherUnits(of.best.unit) {
		if fits(u.factor) {
			fit = append(fit, u)
		}
	}
	if len(fit) == 1 {
		s.inUnit(c, fit[0].symbol, fit[0].factor)
	}
}

// behindClosed is the median of a pressure, Pa absolute, while the engine turns behind a
// throttle that has been closed for a while.
func behindClosed(set *Set, c *Channel) (p float64, ok bool) {
	throttle, engine := set.First(quantity.Throttle), set.First(quantity.EngineSpeed)
	if throttle == nil || engine == nil {
		return 0, false
	}
	low, high := stats.Quantile(throttle.Trace.V, 0.02), stats.Quantile(throttle.Trace.V, 0.98)
	if high-low < 0.5 {
		return 0, false
	}
	since := math.Inf(1) // when it closed
	var v []float64
	k := 0
	for i, t := range c.Trace.T {
		for ; k < throttle.Trace.Len() && throttle.Trace.T[k] <= t; k++ {
			switch closed := throttle.Trace.V[k] < low+closedShare*(high-low); {
			case !closed:
				since = math.Inf(1)
			case math.IsInf(since, 1):
				since = throttle.Trace.T[k]
			}
		}
		if n, ok := near(engine.Trace, t, 0.3); t-since > closedFor && ok && n > engineTurns {
			v = append(v, c.Trace.V[i])
		}
	}
	if len(v) < closedLeast {
		return 0, false
	}
	return stats.Median(v), true
}

// countFromVacuum takes a pressure that is kept absolute for one that counts from vacuum.
func (s *Set) countFromVacuum(c *Channel) {
	for k := range c.Trace.V {
		c.Trace.V[k] -= s.Barometer
	}
	c.Gauge = false
	unit, _ := quantity.ParseUnit(c.Unit)
	c.Unit = spell(c.Quantity, unit, false)
	c.Confidence *= 0.7
	s.Notes = append(s.Notes, fmt.Sprintf("channel %q is told over the barometer, but reads as much more behind a closed throttle as one that counts from vacuum; it is taken so", c.Name))
}

// inUnit reads a pressure in another unit than the one told.
func (s *Set) inUnit(c *Channel, unit string, factor float64) {
	offset := 0.0 // Pa, what the reading's zero is kept as
	switch kept := quantity.KeptAbsolute(c.Quantity); {
	case kept && c.Gauge:
		offset = s.Barometer
	case !kept && !c.Gauge:
		offset = -s.Barometer
	}
	for k, x := range c.Trace.V {
		c.Trace.V[k] = (x-offset)*factor + offset
	}
	c.Resolution *= factor
	told := c.Unit
	c.Unit = spell(c.Quantity, quantity.MustUnit(unit), c.Gauge)
	c.Confidence *= 0.5
	s.Notes = append(s.Notes, fmt.Sprintf("channel %q: the unit %s does not go with the pressures that depend on it; %s is taken", c.Name, told, c.Unit))
}
