package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// A throttle is read as a share, in degrees of its blade, or in volts of its sensor, and
// some count from open to closed. Its closed and its open reading are those at which it
// stays; which is which the engine tells: with the blade open the manifold fills and the
// car gains speed.

const (
	// stays is the share of readings that must lie within a thirtieth of the way at either end.
	stays = 0.02
	// leastWay and mostWay are, of the whole, how far a blade or its sensor turns: degrees and
	// volts (common practice, no source: blades turn 65 to 90 degrees, sensors are fed with 5 V).
	leastDegrees, mostDegrees = 40.0, 110.0
	leastVolts, mostVolts     = 1.5, 5.2
	// ownZero and ownFull are the readings up to which and from which a share needs no scaling.
	ownZero, ownFull = 0.08, 0.9
)

// mayBeRaw says whether readings in an angle or in volts can be those of a throttle or pedal.
func mayBeRaw(q quantity.Name, u quantity.Unit, b *behaviour) bool {
	if q != quantity.Throttle && q != quantity.Pedal || b.n < 20 {
		return false
	}
	way := u.Factor * (b.q99 - b.q01)
	switch u.Dim {
	case quantity.DimAngle:
		return way > leastDegrees*deg && way < mostDegrees*deg
	case quantity.DimVoltage:
		return way > leastVolts && way < mostVolts
	}
	return false
}

// mayBeCounts says whether readings without a unit that is known can be those of a throttle
// or pedal in steps of a converter.
func mayBeCounts(q quantity.Name, b *behaviour) bool {
	return (q == quantity.Throttle || q == quantity.Pedal) && b.n >= 20 && b.q01 >= 0 && b.q99-b.q01 > 120 && b.q99 < 70000
}

// settleThrottle brings throttles and pedals to 0 closed and 1 open.
func settleThrottle(set *Set, cands []*candidate, ref trace.Trace) {
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.Quantity != quantity.Throttle && c.Quantity != quantity.Pedal || c.Trace.Len() < 50 || cands[i].forced {
			continue
		}
		u := cands[i].best.unit
		raw := u.Dim != quantity.DimShare
		low, high := restingEnds(c.Trace.V)
		if math.IsNaN(low) || high-low < 0.3 && !raw {
			continue
		}
		backwards := opensDownward(set, c.Trace, low, high, ref)
		part := !raw && low > ownZero && high < ownFull
		if !raw && !backwards && !part {
			continue
		}
		if !raw && !part { // a share that only counts the other way round
			low, high = min(low, 0), max(high, 1)
			if high > 1.5 {
				continue
			}
		}
		shut, open := low, high
		if backwards {
			shut, open = high, low
		}
		v := make([]float64, c.Trace.Len())
		for k, x := range c.Trace.V {
			v[k] = (x - shut) / (open - shut)
		}
		c.Trace.V = v
		c.Resolution /= math.Abs(open - shut)
		unit := u.String()
		if raw {
			c.Unit = "%"
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q reads %.3g %s closed and %.3g %s open; these are taken for 0 and 100 %%", c.Name, u.Of(shut), unit, u.Of(open), unit))
		} else {
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for closed at %.3g %% and open at %.3g %%, since the engine breathes so", c.Name, 100*shut, 100*open))
		}
	}
}

// restingEnds are the two readings between which a series moves and at which it stays, NaN when it
// stays at none.
func restingEnds(v []float64) (low, high float64) {
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	low, high = s[n/100], s[n-1-n/100]
	near := (high - low) / 30
	atLow, _ := slices.BinarySearch(s, low+near)
	atHigh, _ := slices.BinarySearch(s, high-near)
	if float64(atLow) < stays*float64(n) || float64(n-atHigh) < stays*float64(n) {
		return math.NaN(), math.NaN()
	}
	return s[atLow/2], s[(n+atHigh)/2]
}

// opensDownward says whether the lower end is the open one: manifold pressure, or the change
// of a speed, is higher there.
func opensDownward(set *Set, x trace.Trace, low, high float64, ref trace.Trace) bool {
	third := (high - low) / 3
	mean := func(of trace.Trace, from, to float64) (float64, int) {
		sum, n := 0.0, 0
		for k, v := range x.V {
			if v < from || v > to {
				continue
			}
			if y, ok := of.At(x.T[k]); ok {
				sum, n = sum+y, n+1
			}
		}
		return sum / float64(max(n, 1)), n
	}
	compare := func(of trace.Trace, least float64) (down, told bool) {
		a, n := mean(of, math.Inf(-1), low+third)
		b, m := mean(of, high-third, math.Inf(1))
		return a > b, n > 20 && m > 20 && math.Abs(a-b) > least
	}
	if p := set.First(quantity.ManifoldPressure); p != nil {
		if down, told := compare(p.Trace, 20*kPa); told {
			return down
		}
	}
	if ref.Len() > 20 {
		if down, told := compare(change(ref), 1); told {
			return down
		}
	}
	return false
}
