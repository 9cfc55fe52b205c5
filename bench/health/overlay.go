package main

import (
	"math"
	"sort"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// overlay lays the course of an invented fault over a pass of another model: gear by
// gear at the same share of the gear's speeds, every signal moved as the fault moved it,
// time stretched as the fault slowed the car. What the other model scatters, lags and
// drifts stays as it is.
type overlay struct {
	fault   demo.Displaced
	driven  car.Driven // of that car
	host    *pass.Pass
	hostSet *dictionary.Set
	sheet   *car.Sheet
	knocks  bool    // the kind is one that knocks; else the pulses are chance
	scale   float64 // the host's most boost over that of the fault's pass

	when, late []float64 // s: run clock, and by how much later the same speed comes
	where      []float64 // m, at when
}

// laying readies an overlay.
func laying(d demo.Displaced, baro float64, driven car.Driven, o openPass) *overlay {
	x := &overlay{fault: d, driven: driven, host: o.rec.Pass, hostSet: o.rec.Set, sheet: o.sheet}
	x.scale = min(max(boostOf(o.rec.Pass)/mostBoost(d, baro), 0.3), 3)
	m := x.host.Motion
	late, far := 0.0, 0.0
	for i := range m.V {
		t := m.Start + float64(i)*m.Step
		x.when, x.late, x.where = append(x.when, t), append(x.late, late), append(x.where, far)
		late += m.Step * (x.pace(t) - 1)
		far += m.Step * m.V[i]
	}
	return x
}

// boostOf is the largest mean boost of a pass's gears, Pa gauge, 1e5 where none is known.
func boostOf(p *pass.Pass) float64 {
	most := 0.0
	for _, g := range p.Gears {
		if g.MeanBoost != nil {
			most = max(most, *g.MeanBoost)
		}
	}
	if most == 0 {
		return 1e5
	}
	return most
}

// mostBoost is the same of the pass without the fault.
func mostBoost(d demo.Displaced, baro float64) float64 {
	most := 1e4
	for _, s := range d.Signals {
		if s.Quantity == "map" {
			for _, g := range s.Well {
				most = max(most, stats.Median(g)-baro)
			}
		}
	}
	return most
}

// bin is where the host is at a moment: gear of the fault's pass and place in it, 0 to
// demo.Bins; ok is false between gears, before the first and after the last.
func (x *overlay) bin(t float64) (gear int, at float64, ok bool) {
	gs := x.host.Gears
	for k, g := range gs {
		if t < g.Start || t > g.End {
			continue
		}
		a, b := x.speed(g.Start), x.speed(g.End)
		if !(b > a+1) {
			return 0, 0, false
		}
		n := len(x.fault.Pace)
		d := 0
		if len(gs) > 1 {
			d = int(math.Round(float64(k) * float64(n-1) / float64(len(gs)-1)))
		}
		return d, demo.Bins * min(max((x.speed(t)-a)/(b-a), 0), 1), true
	}
	return 0, 0, false
}

func (x *overlay) speed(t float64) float64 {
	m := x.host.Motion
	i := int(math.Round((t - m.Start) / m.Step))
	if len(m.V) == 0 {
		return 0
	}
	return m.V[min(max(i, 0), len(m.V)-1)]
}

func (x *overlay) pace(t float64) float64 {
	g, at, ok := x.bin(t)
	if !ok {
		return 1
	}
	return x.fault.Pace[g][min(int(at), demo.Bins-1)]
}

// moved is the moment on the faulty pass's clock at which what was at t comes.
func (x *overlay) moved(t float64) float64 {
	if len(x.when) == 0 || t <= x.when[0] {
		return t
	}
	i := sort.SearchFloat64s(x.when, t)
	return t + x.late[min(i, len(x.late)-1)]
}

// onset is when the fault begins, s, run clock.
func (x *overlay) onset() float64 {
	for _, t := range x.when {
		if g, at, ok := x.bin(t); ok && (g > x.fault.FromGear || g == x.fault.FromGear && at >= float64(x.fault.FromBin)) {
			return x.moved(t)
		}
	}
	return math.NaN()
}

// channel is a channel of the host with the fault in it.
func (x *overlay) channel(c dictionary.Channel) dictionary.Channel {
	ss, by := x.signals(&c)
	n := c.Trace.Len()
	out := trace.Trace{T: make([]float64, n), V: append([]float64(nil), c.Trace.V...)}
	known := make([]bool, n)
	for i, t := range c.Trace.T {
		out.T[i] = x.moved(t)
		g, at, ok := x.bin(t)
		switch {
		case c.Quantity == quantity.AccelerationLong:
			out.V[i] /= x.pace(t)
		case c.Quantity == quantity.Latitude || c.Quantity == quantity.Longitude:
			if v, ok := c.Trace.At(x.sooner(t)); ok {
				out.V[i] = v
			}
		case len(ss) > 0 && ok:
			out.V[i] += x.carry(c.Trace.V[i], t, ss, by, g, at)
			known[i] = true
		}
	}
	if len(ss) > 0 {
		between(c.Trace.T, c.Trace.V, out.V, known, stays(c.Quantity))
	}
	if q := c.Quantity; q == quantity.Throttle || q == quantity.InjectorDuty || q == quantity.WastegateDuty {
		for i := range out.V {
			out.V[i] = min(max(out.V[i], 0), max(1, c.Trace.V[i]))
		}
	}
	c.Trace = out
	return c
}

// sooner is the moment of the host's own pass at which it was where the faulty one is at t.
func (x *overlay) sooner(t float64) float64 {
	far := 0.0
	m := x.host.Motion
	for i, s := range x.when {
		if s >= t {
			k := sort.SearchFloat64s(x.where, far)
			return x.when[min(k, len(x.when)-1)]
		}
		far += m.Step * m.V[i] * x.pace(s)
	}
	return t
}

// stays says whether a change outlasts the lift: heat does, pressure of a closed vessel too.
func stays(q quantity.Name) bool {
	return quantity.DimensionOf(q) == quantity.DimTemperature || q == quantity.CoolantPressure || q == quantity.TyrePressure || q == quantity.BatteryVoltage
}

// between carries changes over a shift, from one gear's last to the next one's first; after
// the last it stays or fades within half a second.
func between(t, old, v []float64, known []bool, stay bool) {
	last := -1
	for i := range v {
		if known[i] {
			last = i
			continue
		}
		next := -1
		for k := i; k < len(v) && t[k] < t[i]+1.5; k++ {
			if known[k] {
				next = k
				break
			}
		}
		switch {
		case last >= 0 && next >= 0:
			f := (t[i] - t[last]) / (t[next] - t[last])
			v[i] += (1-f)*(v[last]-old[last]) + f*(v[next]-old[next])
		case last >= 0 && stay:
			v[i] += v[last] - old[last]
		case last >= 0:
			v[i] += max(0, 1-2*(t[i]-t[last])) * (v[last] - old[last])
		}
	}
}

// set is the host's channels with the fault in them.
func (x *overlay) set() *dictionary.Set {
	out := *x.hostSet
	out.Channels = make([]dictionary.Channel, len(x.hostSet.Channels))
	for i, c := range x.hostSet.Channels {
		out.Channels[i] = x.channel(c)
	}
	return &out
}
