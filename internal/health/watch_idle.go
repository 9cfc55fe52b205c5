package health

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// How far before the launch and after the lift an idling engine is looked for, s.
const (
	restBefore = 60.0
	restAfter  = 180.0
)

// fastIdle is the share of the rev limit below which an engine behind a shut throttle
// of a standing car idles, however fast.
const fastIdle = 0.45

// fastLasts is how long, s, an engine over three tenths of the rev limit must turn so to
// be said to idle: after a burnout it hangs there for a while.
const fastLasts = 8.0

// hanging is how many times the slowest tenth of the idling an engine may turn and still
// be said to idle, 1.
const hanging = 1.4

// restFrame is the time about the pass on a grid of its own, with what the watches of
// an idling engine need; nil where the log has none of it.
func (f *frame) restFrame(from, to float64) *frame {
	first, last := math.Inf(1), math.Inf(-1)
	for _, c := range f.set.All(quantity.EngineSpeed) {
		if n := c.Trace.Len(); n > 1 {
			first, last = min(first, c.Trace.T[0]), max(last, c.Trace.T[n-1])
		}
	}
	from, to = max(from, first), min(to, last)
	if !(to-from > 2) {
		return nil
	}
	r := *f
	r.n = int((to-from)/cell) + 1
	r.cols = nil
	r.t = apply(r.n, func(i int) float64 { return from + float64(i)*cell })
	r.cols = map[*channel][]float64{}
	r.gear, r.switching, r.raced, r.loosely = make([]int, r.n), nil, nil, true
	r.speed, r.throttle = r.first(quantity.EngineSpeed), r.first(quantity.Throttle)
	if r.throttle == nil {
		if r.throttle = r.first(quantity.Pedal); r.throttle == nil {
			return nil
		}
	}
	r.boost = filled(r.n, nan())
	for i, v := range r.first(quantity.ManifoldPressure) {
		r.boost[i] = v - r.baro
	}
	r.v = filled(r.n, nan())
	for _, q := range []quantity.Name{quantity.GPSSpeed, quantity.VehicleSpeed, quantity.DrivenSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR} {
		for i, v := range r.first(q) {
			if !(v <= r.v[i]) {
				r.v[i] = v
			}
		}
	}
	r.markIdle(to <= f.launch)
	return &r
}

// shutMost is the throttle's opening, 0–1, that a shut one reads at most.
const shutMost = 0.06

// leastOpen is the throttle's opening, 0–1, that reads as shut in this log: a few per cent more
// is a foot on the pedal, which lets as much air by again as an engine idles on.
func (f *frame) leastOpen() float64 {
	var x []float64
	for i, v := range f.throttle {
		if v == v && f.speed[i] > 40 {
			x = append(x, v)
		}
	}
	if len(x) == 0 {
		return 0
	}
	return max(0, stats.Quantile(x, 0.05))
}

// markIdle marks where the engine idles: the throttle shut, the speed low and for
// half a second neither rising nor falling, the car all but standing. The first 2 s
// of every such stretch are left out, in which pressures settle.
// Before the pass a throttle a little open is a foot that lets the car creep; afterwards it
// may as well be a plate that does not shut.
func (f *frame) markIdle(before bool) {
	f.idle = make([]bool, f.n)
	shut := shutMost
	if before {
		shut = min(shut, f.leastOpen()+shutReading)
	}
	turning := rate(f.speed, 12)
	since := 0
	for i := range f.t {
		n := f.speed[i]
		if !(f.throttle[i] < shut) || !(n > 40) || !(n < fastIdle*f.nref) || f.v[i] > 2 || math.Abs(turning[i]) > 0.12*f.nref {
			since = 0
			continue
		}
		since++
		held := float64(since) * cell
		f.idle[i] = held > 2 && n < 0.3*f.nref || held > fastLasts
	}
	// An engine that has come down once idles there; where it hangs on its way is no idle.
	var speeds []float64
	for i, on := range f.idle {
		if on {
			speeds = append(speeds, f.speed[i])
		}
	}
	if len(speeds) == 0 {
		return
	}
	most := hanging * stats.Quantile(speeds, 0.1)
	for i, on := range f.idle {
		f.idle[i] = on && f.speed[i] < most
	}
}

// shutReading is the throttle's opening, 0–1, up to which it reads shut.
const shutReading = 0.02

// readsShut says that the throttle reads shut where the engine idles.
func (f *frame) readsShut() bool {
	var x []float64
	for i, on := range f.idle {
		if on {
			x = append(x, f.throttle[i])
		}
	}
	return len(x) > 25 && stats.Median(x) < shutReading
}

// atRest are the looks at an engine that idles before the pass, and after it, where
// the log holds that: other conditions than the pass's, so on frames of their own.
// Those after the pass have the number 2.
func (w *watcher) atRest() {
	f := w.frame
	for k, r := range []*frame{f.restFrame(f.launch-restBefore, f.launch-0.5), f.restFrame(f.end+3, f.end+restAfter)} {
		if r == nil {
			continue
		}
		at := &watcher{frame: r}
		at.idling(k == 1)
		for _, l := range at.looks {
			l.on = r
		}
		w.looks = append(w.looks, at.looks...)
	}
}

// idling watches an engine at idle. Before the pass the oil's pressure is among the
// pass's own watches, and the coolant's and the bottle's too.
func (w *watcher) idling(after bool) {
	f := w.frame
	add := func(s spec, y []float64, feats ...[]float64) {
		s.rough, s.corr, s.shapes, s.whole = 2.5, 1, []shape{step}, true
		if after {
			s.id += " 2"
			s.title += " at idle after the pass"
		} else {
			s.title += " at idle before the pass"
		}
		w.add(s, f.idle, y, nil, feats...)
	}
	n := scaled(f.normal(), 0.15, 1)
	temperature := func(q quantity.Name, usual float64) []float64 {
		if x := f.first(q); x != nil {
			return scaled(x, usual, 10)
		}
		return make([]float64, f.n)
	}
	water := temperature(quantity.CoolantTemperature, 353)
	if c := f.set.First(quantity.OilPressure); c != nil && after {
		add(spec{
			id: "oil pressure at idle", title: "oil pressure", measure: ofPressure,
			terms: []term{{"", 150e3, 80e3, 8e3}, {"speed", 500e3, 300e3, 30e3}, {"oil temperature", -10e3, 10e3, 4e3}},
			noise: 6e3, small: 25e3, visible: 30e3,
			channels: names(c), quantities: []string{"oil_pressure"},
		}, f.column(c), n, temperature(quantity.OilTemperature, 360))
	}
	if c := f.set.First(quantity.CoolantPressure); c != nil && after {
		add(spec{
			id: "coolant pressure", title: "coolant pressure that stays", measure: ofPressure,
			terms: []term{{"", 40e3, 45e3, 6e3}, {"coolant temperature", 12e3, 10e3, 3e3}, {"speed", 20e3, 60e3, 10e3}},
			noise: 1.5e3, small: 12e3, visible: 12e3,
			channels: names(c), quantities: []string{"coolant_pressure"},
		}, f.column(c), water, n)
	}
	if c := f.set.First(quantity.BottlePressure); c != nil && after {
		add(spec{
			id: "bottle pressure", title: "nitrous bottle pressure", measure: ofPressure,
			terms: []term{{"", 5.5e6, 1.3e6, 0.5e6}},
			noise: 0.03e6, small: 0.6e6, visible: 0.6e6,
			channels: names(c), quantities: []string{"bottle_pressure"},
		}, f.column(c))
	}
	if c := f.set.First(quantity.BatteryVoltage); c != nil {
		add(spec{
			id: "idle voltage", title: "charging voltage", measure: ofVoltage,
			terms: []term{{"", 13.4, 0.6, 0.15}, {"speed", 2, 4, 0.6}},
			noise: 0.05, small: 0.5, visible: 0.5,
			channels: names(c), quantities: []string{"battery_voltage"},
		}, f.column(c), n)
	}
	if c := f.set.First(quantity.EngineSpeed); c != nil {
		add(spec{
			id: "idle speed", title: "engine speed", measure: ofSpeed,
			terms: []term{{"", 110, 40, 9}, {"coolant temperature", -3, 6, 2}},
			noise: 4, small: 26, visible: 30,
			channels: names(c), quantities: []string{"engine_speed"},
		}, f.column(c), water)
	}
	if c := f.set.First(quantity.ManifoldPressure); c != nil {
		add(spec{
			id: "idle vacuum", title: "manifold pressure", measure: ofPressure,
			terms: []term{{"", -55e3, 20e3, 4e3}, {"speed", 0, 80e3, 15e3}},
			noise: 2e3, small: 12e3, visible: 14e3,
			channels: names(c), quantities: []string{"manifold_pressure"},
		}, f.boost, n)
	}
}
