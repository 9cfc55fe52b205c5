package health

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// contradicted finds channels that another channel, or their own past, gives the
// lie.
func contradicted(set *dictionary.Set, p *pass.Pass, past []Summary) []broken {
	out := strange(set, p, past)
	if b, ok := throttleDenied(set, p); ok {
		out = append(out, b)
	}
	return append(out, exhaustDenied(set, p)...)
}

// An exhaust before the turbine of an idling engine stands hardly over the air's pressure:
// what reads idleExhaust more has its zero elsewhere, by that much at every moment (common
// practice, no source).
const (
	idleExhaust  = 30e3 // Pa
	idleSlowest  = 40.0 // rad/s
	idleFastest  = 180.0
	idleReadings = 40 // least
)

// exhaustDenied finds exhaust pressures that read so before the launch.
func exhaustDenied(set *dictionary.Set, p *pass.Pass) (out []broken) {
	n, th := set.First(quantity.EngineSpeed), set.First(quantity.Throttle)
	if n == nil || th == nil || p.Air == nil || !(p.Air.Pressure > 0) {
		return nil
	}
	for _, c := range set.All(quantity.ExhaustPressure) {
		x := c.Trace.Slice(math.Inf(-1), p.Launch.Value-0.5)
		speed, open := resample(n.Trace, x.T, n.RateHz, false), resample(th.Trace, x.T, th.RateHz, false)
		var idle []float64
		for i, v := range x.V {
			if speed[i] > idleSlowest && speed[i] < idleFastest && open[i] < 0.05 {
				idle = append(idle, v)
			}
		}
		if len(idle) >= idleReadings && stats.Quantile(idle, 0.25) > p.Air.Pressure+idleExhaust {
			out = append(out, broken{c, "denied", p.Launch.Value, "it reads far over the air's pressure while the engine idles, where an exhaust has next to none", 9})
		}
	}
	return out
}

// strange finds channels that earlier passes could make sense of and this one
// cannot: readings outside everything that the quantity can be.
func strange(set *dictionary.Set, p *pass.Pass, past []Summary) []broken {
	known := map[string]int{}
	for _, s := range past {
		for name := range s.Noise {
			known[name]++
		}
	}
	var out []broken
	for i := range set.Channels {
		c := &set.Channels[i]
		if n := known[c.Name]; c.Quantity != "" || c.Trace.Len() < 100 || n < 3 || 5*n < 4*len(past) {
			continue
		}
		out = append(out, broken{c, "strange", p.Launch.Value, "its readings are none that it could give; on earlier passes they were as they should be", 9})
	}
	return out
}

// How a throttle's reading and the manifold give each other the lie (common
// practice, no source): an engine that turns fast behind an open throttle has no
// vacuum, and boost behind a closed one is gone within a fraction of a second.
const (
	vacuumShare  = 0.55 // of the barometer, behind a throttle that reads open
	boostBehind  = 30e3 // Pa over the barometer, behind one that reads shut
	fastTurning  = 300  // rad/s
	openLasting  = 0.6  // s
	closedLonger = 1.2  // s
)

// gains says that the car gained speed from one moment, s, to another, as far as its
// motion is known there.
func gains(p *pass.Pass, from, to float64) bool {
	m := p.Motion
	if len(m.V) == 0 || m.Step <= 0 {
		return false
	}
	at := func(t float64) float64 {
		return m.V[max(0, min(len(m.V)-1, int(math.Round((t-m.Start)/m.Step))))]
	}
	return at(to) > at(from)
}

// throttleDenied finds a throttle channel that reads open where the manifold has a
// vacuum, or shut where it keeps its boost.
func throttleDenied(set *dictionary.Set, p *pass.Pass) (b broken, ok bool) {
	c, m, n := set.First(quantity.Throttle), set.First(quantity.ManifoldPressure), set.First(quantity.EngineSpeed)
	if c == nil || m == nil || n == nil || c.Trace.Len() < 40 {
		return b, false
	}
	baro := standardPressure
	if p.Air != nil && p.Air.Pressure > 0 {
		baro = p.Air.Pressure
	}
	first, last := c.Trace.T[0], c.Trace.T[c.Trace.Len()-1]
	grid := apply(max(0, int((min(last, p.Launch.Value+60)-max(first, p.Launch.Value))/cell)), func(i int) float64 { return max(first, p.Launch.Value) + float64(i)*cell })
	if len(grid) == 0 {
		return b, false
	}
	x := resample(c.Trace, grid, c.RateHz, false)
	pm, speed := resample(m.Trace, grid, m.RateHz, false), resample(n.Trace, grid, n.RateHz, false)
	// Both gauges must have shown that they move.
	breathes := false
	for i := range grid {
		breathes = breathes || pm[i] > 0.9*baro
	}
	if !breathes {
		return b, false
	}
	held := func(lasting float64, on func(i int) bool) int {
		run := 0
		for i := range grid {
			if !on(i) || !(speed[i] > fastTurning) {
				run = 0
				continue
			}
			if run++; float64(run)*cell >= lasting {
				return i - run + 1
			}
		}
		return -1
	}
	text := "it reads open where the manifold shows a vacuum that only a shut throttle makes"
	at := held(openLasting, func(i int) bool { return x[i] > 0.8 && pm[i] < vacuumShare*baro })
	if at < 0 {
		text = "it reads shut while the manifold keeps its boost"
		at = held(closedLonger, func(i int) bool { return x[i] < 0.05 && pm[i] > baro+boostBehind })
	}
	if at < 0 {
		return b, false
	}
	if end := min(len(grid)-1, at+int(closedLonger/cell)); x[at] < 0.05 && speed[end] < 0.97*speed[at] && !gains(p, grid[at], grid[end]) {
		// The engine agrees with the throttle: it is not driven any more, and no shift slows it.
		return broken{m, "denied", grid[at], "it keeps its boost behind a shut throttle, when the engine slows down", 9}, true
	}
	// It has read so since it last moved.
	for at > 0 && math.Abs(x[at-1]-x[at]) < 0.01 {
		at--
	}
	return broken{c, "denied", grid[at], text, 9}, true
}
