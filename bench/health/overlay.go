package main

import (
	"math"
	"sort"
	"strings"

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

// way is how a change is carried over.
type way int

const (
	added  way = iota // as it is
	times             // as a share
	scaled            // with the boost
)

// carried is how each signal goes over, by its name in the generator's truth.
var carried = map[string]struct {
	to []quantity.Name
	by way
}{
	"rpm": {[]quantity.Name{quantity.EngineSpeed}, times}, "throttle": {[]quantity.Name{quantity.Throttle}, added},
	"map": {[]quantity.Name{quantity.ManifoldPressure}, scaled}, "pre_throttle_pressure": {[]quantity.Name{quantity.CompressorOutletPressure}, scaled},
	"exhaust_manifold_pressure": {[]quantity.Name{quantity.ExhaustPressure}, scaled}, "compressor_inlet_pressure": {[]quantity.Name{quantity.CompressorInletPressure}, added},
	"intake_temp": {[]quantity.Name{quantity.IntakeTemperature, quantity.ChargeTemperature}, added}, "compressor_out_temp": {[]quantity.Name{quantity.CompressorOutletTemperature}, added},
	"cooler_water_temp": {[]quantity.Name{quantity.CoolerWaterTemperature}, added}, "coolant_temp": {[]quantity.Name{quantity.CoolantTemperature}, added},
	"coolant_pressure": {[]quantity.Name{quantity.CoolantPressure}, scaled}, "crankcase_pressure": {[]quantity.Name{quantity.CrankcasePressure}, scaled},
	"oil_pressure": {[]quantity.Name{quantity.OilPressure}, times}, "oil_temp": {[]quantity.Name{quantity.OilTemperature}, added},
	"fuel_pressure": {[]quantity.Name{quantity.FuelPressure}, scaled}, "fuel_flow": {[]quantity.Name{quantity.FuelFlow, quantity.FuelVolumeFlow}, times},
	"injector_duty": {[]quantity.Name{quantity.InjectorDuty}, times}, "lambda": {[]quantity.Name{quantity.Lambda}, times},
	"ignition_angle": {[]quantity.Name{quantity.IgnitionAngle}, added}, "knock": {[]quantity.Name{quantity.Knock}, times},
	"egt": {[]quantity.Name{quantity.ExhaustTemperature}, added}, "turbo_rpm": {[]quantity.Name{quantity.TurboSpeed}, times},
	"wastegate": {[]quantity.Name{quantity.WastegateDuty}, added}, "gearbox_temp": {[]quantity.Name{quantity.GearboxTemperature}, added},
	"fuel_trim": {[]quantity.Name{quantity.FuelTrim}, added}, "tyre_pressure": {[]quantity.Name{quantity.TyrePressure}, times},
	"battery_voltage": {[]quantity.Name{quantity.BatteryVoltage}, added}, "bottle_pressure": {[]quantity.Name{quantity.BottlePressure}, times},
}

// signals are those of the fault's pass that move a channel of the host.
func (x *overlay) signals(c *dictionary.Channel) (out []demo.Displacement, by way) {
	if w, ok := wheels[c.Quantity]; ok {
		for _, s := range x.fault.Signals {
			if strings.HasPrefix(s.Quantity, "wheel_") && s.Quantity == "wheel_"+x.wheel(w) {
				out = append(out, s)
			}
		}
		return out, times
	}
	count := map[string]int{}
	for _, s := range x.fault.Signals {
		name, _ := demo.SignalOf(s.Quantity)
		count[name]++
	}
	for _, s := range x.fault.Signals {
		name, k := demo.SignalOf(s.Quantity)
		if name == "knock" && !x.knocks {
			continue
		}
		if count[name] == 1 {
			k = 0 // one sensor hears for all
		}
		to, ok := carried[strings.TrimSuffix(name, "_all")]
		if !ok {
			continue
		}
		for _, q := range to.to {
			if q == c.Quantity && (k == 0 || c.Index == 0 || k == c.Index) {
				out, by = append(out, s), to.by
			}
		}
	}
	return out, by
}

var wheels = map[quantity.Name]string{quantity.WheelSpeedFL: "fl", quantity.WheelSpeedFR: "fr", quantity.WheelSpeedRL: "rl", quantity.WheelSpeedRR: "rr"}

// wheel is the wheel of the fault's car that stands for one of the host's: driven for
// driven, left for left.
func (x *overlay) wheel(w string) string {
	front := x.sheet.Driven == car.FrontDriven
	if x.sheet.Driven == car.AllDriven || x.driven == car.AllDriven || front == (x.driven == car.FrontDriven) {
		return w
	}
	return map[string]string{"fl": "rl", "fr": "rr", "rl": "fl", "rr": "fr"}[w]
}

// moves is the mean of the signals' changes at a place: with and without the fault.
func moves(ss []demo.Displacement, g int, at float64) (well, sick float64) {
	k := min(int(at), demo.Bins-1)
	f := at - float64(k)
	for _, s := range ss {
		well += (s.Well[g][k]*(1-f) + s.Well[g][k+1]*f) / float64(len(ss))
		sick += (s.Sick[g][k]*(1-f) + s.Sick[g][k+1]*f) / float64(len(ss))
	}
	return well, sick
}

// carry gives a channel's reading with the fault, at a place in a gear.
func (x *overlay) carry(v, t float64, ss []demo.Displacement, by way, g int, at float64) float64 {
	well, sick := moves(ss, g, at)
	switch by {
	case times:
		// Knock is heard over a background that the generator's own level leaves out.
		if q, _ := demo.SignalOf(ss[0].Quantity); q == "knock" {
			well, sick = well+4*ss[0].Noise, sick+4*ss[0].Noise
		}
		if well == 0 || sick/well > 5 || sick/well < 0 {
			return 0
		}
		return v * (sick/well - 1)
	case scaled:
		return (sick - well) * x.scale
	}
	return sick - well
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

// has says whether the host logs what a signal of the generator moves.
func (x *overlay) has(q string) bool {
	for i := range x.hostSet.Channels {
		ss, _ := x.signals(&x.hostSet.Channels[i])
		for _, s := range ss {
			if s.Quantity == q {
				return true
			}
		}
	}
	return false
}
