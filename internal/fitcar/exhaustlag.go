package fitcar

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

const (
	shutThrottle = 0.08 // 1, under which the engine only pumps air
	shutPressure = 60e3 // Pa absolute in the manifold, the same where no throttle shows it
	lagLook      = 12.0 // s after the line in which the throttle must shut
	lagSettle    = 0.2  // s until the gas has cooled
	lagSpan      = 4.0  // s that are looked at, at most
	lagStep      = 0.1  // s
	lagLeast     = 1.5  // s that must be seen
	lagFall      = 150.0
	lagMisfit    = 0.05 // 1, of the fall that the readings may lie off the curve
)

// exhaustLag is the time constant, s, with which the exhaust's sensors follow the gas while
// the throttle is shut after the line or the lift: the fuel is cut, the gas is cool at once,
// and what is read falls to it as c + a·exp(−t/τ). The median over the sensors; 0 where the
// log does not show it. At full throttle a sensor is no slower: more gas passes it.
func exhaustLag(p *pass.Pass, set *dictionary.Set) float64 {
	if set == nil {
		return 0
	}
	from, ok := passEnd(p)
	if !ok {
		return 0
	}
	from, to, ok := shutAfter(set, from)
	if !ok {
		return 0
	}
	var seen []float64
	for _, c := range set.All(quantity.ExhaustTemperature) {
		if lag, ok := decay(c.Trace, from, to); ok {
			seen = append(seen, lag)
		}
	}
	if len(seen) == 0 {
		return 0
	}
	return stats.Median(seen)
}

// passEnd is the end of the pull, s: the line or the lift, whichever came first.
func passEnd(p *pass.Pass) (from float64, ok bool) {
	from = math.Inf(1)
	if p.Finish != nil {
		from = p.Finish.Value
	}
	if p.Lift != nil {
		from = min(from, *p.Lift)
	}
	return from, !math.IsInf(from, 0)
}

// shutAfter is when, s, the throttle is shut and the gas has cooled, and until when it stays
// so, by throttle or manifold pressure.
func shutAfter(set *dictionary.Set, after float64) (from, to float64, ok bool) {
	c, most := set.First(quantity.Throttle), shutThrottle
	if c == nil || c.Trace.Len() < 20 {
		c, most = set.First(quantity.ManifoldPressure), shutPressure
	}
	if c == nil || c.Trace.Len() < 20 {
		return 0, 0, false
	}
	shut := func(t float64) bool {
		v, ok := c.Trace.At(t)
		return ok && v < most
	}
	for from = after; !shut(from); from += lagStep / 2 {
		if from > after+lagLook {
			return 0, 0, false
		}
	}
	for to = from; to < from+lagSettle+lagSpan && shut(to); to += lagStep {
	}
	from += lagSettle
	return from, to, to-from >= lagLeast
}

// decay fits c + a·exp(−t/τ) to a trace by least squares, and is not ok where it does not
// fall far or not like that.
func decay(tr trace.Trace, from, to float64) (lag float64, ok bool) {
	var ts, ys []float64
	for t := from; t <= to; t += lagStep {
		if y, ok := tr.At(t); ok && y > 250 && y < 1700 {
			ts, ys = append(ts, t-from), append(ys, y)
		}
	}
	if n := len(ts); n < 12 || ts[n-1] < lagLeast || ys[0]-ys[n-1] < lagFall {
		return 0, false
	}
	least := math.Inf(1)
	var fall float64
	for tau := 0.1; tau < 4; tau *= 1.05 {
		e := make([]float64, len(ts))
		for i, t := range ts {
			e[i] = math.Exp(-t / tau)
		}
		me, _ := stats.MeanSD(e)
		my, _ := stats.MeanSD(ys)
		num, den := 0.0, 0.0
		for i := range e {
			num += (e[i] - me) * (ys[i] - my)
			den += (e[i] - me) * (e[i] - me)
		}
		a, ss := num/den, 0.0
		for i := range e {
			d := ys[i] - my - a*(e[i]-me)
			ss += d * d
		}
		if ss < least {
			least, lag, fall = ss, tau, a
		}
	}
	return lag, math.Sqrt(least/float64(len(ts))) < lagMisfit*fall
}
