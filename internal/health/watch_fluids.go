package health

import (
	"math"

	"traplight/internal/quantity"
)

// fluids watches oil, coolant and crankcase pressures.
func (w *watcher) fluids() {
	f := w.frame
	n := f.normal()
	oilT := f.first(quantity.OilTemperature)
	if oilT == nil {
		oilT = filled(f.n, 360)
	}
	hot := scaled(oilT, 360, 10)
	turning := rate(f.speed, 3)
	// After the lift the engine is dragged down through speeds and aerated oil that
	// no clear pass repeats.
	run := f.mask(func(i int) bool {
		return n[i] > 0.5 && f.t[i] > f.launch-5 && f.t[i] < f.end && math.Abs(turning[i]) < 0.5*f.nref
	})
	g := apply(f.n, func(i int) float64 {
		if math.IsNaN(f.a[i]) {
			return 0
		}
		return f.a[i] / 9.80665
	})
	if c := f.set.First(quantity.OilPressure); c != nil {
		// Where the relief valve opens hangs on how thin the oil is: below that the pressure
		// differs from pass to pass, above it hardly.
		w.add(spec{
			id: "oil pressure", wild: true, least: 1.3, rough: 6, title: "oil pressure for the engine speed", measure: ofPressure,
			terms: []term{{"", 50e3, 150e3, 6e3}, {"speed", 500e3, 400e3, 10e3}, {"over 0.45 speed", 0, 300e3, 15e3}, {"over 0.55 speed", -100e3, 300e3, 40e3}, {"over 0.65 speed", -100e3, 300e3, 15e3}, {"over 0.75 speed", -100e3, 300e3, 15e3}, {"over 0.85 speed", 0, 300e3, 15e3}, {"oil temperature", -5e3, 8e3, 3e3}, {"oil temperature at low speed", -20e3, 60e3, 20e3}, {"g", 0, 10e3, 4e3}, {"under the relief", 0, 20e3, 12e3}},
			noise: 5e3, corr: 0.4, small: 18e3, visible: 30e3, delay: 0.02, shapes: usual,
			channels: names(c), quantities: []string{"oil_pressure"},
		}, run, f.column(c), nil, n, over(n, 0.45), over(n, 0.55), over(n, 0.65), over(n, 0.75), over(n, 0.85), hot, times(hot, apply(f.n, func(i int) float64 { return max(0.75-n[i], 0) })), g, clipped(scaled(n, 0.6, -0.1), 0, 1))
		w.add(spec{
			id: "oil pressure at idle", rough: 2.5, title: "oil pressure at idle", measure: ofPressure,
			terms: []term{{"", 150e3, 80e3, 8e3}, {"speed", 500e3, 300e3, 30e3}, {"oil temperature", -10e3, 10e3, 4e3}},
			noise: 6e3, corr: 1, small: 25e3, visible: 30e3, shapes: slow,
			channels: names(c), quantities: []string{"oil_pressure"},
		}, f.idle, f.column(c), nil, scaled(n, 0.15, 1), hot)
	}
	work := f.work()
	warm := apply(f.n, func(i int) float64 { return max(f.boost[i], 0) / 1e5 })
	after := f.mask(func(i int) bool { return f.t[i] > f.launch-4 && f.running[i] })
	clt := f.first(quantity.CoolantTemperature)
	if c := f.set.First(quantity.CoolantPressure); c != nil {
		ct := clt
		if ct == nil {
			ct = filled(f.n, 353)
		}
		w.add(spec{
			id: "coolant pressure", wild: true, least: 2, rough: 2.5, title: "coolant pressure for temperature and engine speed", measure: ofPressure,
			terms: []term{{"", 40e3, 45e3, 5e3}, {"speed", 0, 30e3, 3e3}, {"speed²", 40e3, 40e3, 3e3}, {"coolant temperature", 12e3, 10e3, 3e3}, {"work", 10e3, 25e3, 4e3}, {"time", 0, 10e3, 3e3}, {"speed² a moment ago", 0, 40e3, 3e3}},
			noise: 1.2e3, corr: 0.5, small: 6e3, visible: 8e3, delay: 0.02, shapes: append([]shape{bySqueeze}, usual...),
			channels: names(c), quantities: []string{"coolant_pressure"},
		}, after, f.column(c), warm, n, square(n), scaled(ct, 353, 10), work, apply(f.n, func(i int) float64 { return max(f.t[i]-f.launch, 0) / 10 }), lag(square(n), 0.25))
	}
	if c := f.set.First(quantity.CrankcasePressure); c != nil {
		// As boost collapses the crankcase has yet to empty.
		settled := f.mask(func(i int) bool { return after[i] && f.boostRate[i] > -150e3 })
		w.add(spec{
			id: "crankcase pressure", rough: 2.5, title: "crankcase pressure for the boost", measure: ofPressure,
			terms: []term{{"", 0.5e3, 2e3, 0.25e3}, {"boost", 1e3, 2e3, 0.2e3}, {"boost²", 0, 0.6e3, 0.08e3}, {"speed", 0.5e3, 2e3, 0.3e3}, {"boost rate", 0, 0.1e3, 0.03e3}},
			noise: 0.25e3, corr: 0.4, small: 0.7e3, visible: 1e3, delay: 0.02, shapes: usual,
			channels: names(c), quantities: []string{"crankcase_pressure"},
		}, settled, f.column(c), warm, clipped(f.bar(), -0.9, 9), square(over(f.bar(), 0)), n, clipped(scaled(f.boostRate, 0, 1e5), -2, 2))
	}
	if c := f.set.First(quantity.BottlePressure); c != nil {
		used := f.nitrousTime()
		if f.nitrousSeconds() > 0.5 {
			w.add(spec{
				id: "bottle use", title: "fall of the bottle's pressure for the nitrous used", measure: ofPressure,
				terms: []term{{"", 0, 0.05e6, 0.01e6}, {"nitrous used", -0.12e6, 0.15e6, 0.008e6}, {"nitrous used²", 0, 0.02e6, 0.002e6}, {"flowing", -0.05e6, 0.2e6, 0.03e6}},
				noise: 0.01e6, corr: 1, small: 0.02e6, visible: 0.02e6, shapes: []shape{growing, step, ramp3},
				channels: names(c), quantities: []string{"bottle_pressure"},
			}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+3 }), f.fromLaunch(f.column(c)), used, used, square(used), f.nitrous)
		}
		w.add(spec{
			id: "bottle pressure", title: "nitrous bottle pressure", measure: ofPressure,
			terms: []term{{"", 6e6, 1.2e6, 0.35e6}, {"nitrous used", -0.3e6, 0.5e6, 0.1e6}, {"flowing", -0.1e6, 0.3e6, 0.08e6}},
			noise: 0.03e6, corr: 2, small: 0.4e6, visible: 0.4e6, shapes: slow,
			channels: names(c), quantities: []string{"bottle_pressure"},
		}, f.mask(func(i int) bool { return f.t[i] > f.launch-5 && f.t[i] < f.end+3 }), f.column(c), nil, used, f.nitrous)
	}
}

// work is the running sum of air through the engine since the launch, about 1
// for ten seconds at full load: what heats the fluids.
func (f *frame) work() []float64 {
	out := make([]float64, f.n)
	s, last := 0.0, 0.0
	for i := range out {
		// Where rows are lost the engine went on as before.
		if !math.IsNaN(f.air[i]) && !math.IsNaN(f.throttle[i]) {
			last = 0
			if f.throttle[i] > 0.3 && f.air[i] > 0 {
				last = f.air[i]
			}
		}
		if f.t[i] > f.launch {
			s += last * cell / 10
		}
		out[i] = s
	}
	return out
}

// How long, s, the air may be unknown, or an engine be cut short by its limiter, before
// the work since the launch counts as unknown too.
const (
	lostMost = 0.3
	cutMost  = 1.2
)

// accounted marks the cells up to which the work since the launch is known: where a
// channel is lost on the way it comes out too small, and what warms seems too hot; on the
// limiter it comes out too large, and what warms seems too cold.
func (f *frame) accounted() []bool {
	lost, cut, any := 0.0, 0.0, anyFinite(f.air)
	return f.mask(func(i int) bool {
		in := f.t[i] > f.launch && f.t[i] < f.end
		if any && in && f.throttle[i] > 0.3 && math.IsNaN(f.air[i]) {
			lost += cell
		}
		if in && f.cut[i] {
			cut += cell
		}
		return lost <= lostMost && cut <= cutMost
	})
}

// nitrousSeconds is the time for which nitrous flowed, s.
func (f *frame) nitrousSeconds() float64 {
	s := 0.0
	for _, v := range f.nitrous {
		s += v * cell
	}
	return s
}

func (f *frame) nitrousTime() []float64 {
	out := make([]float64, f.n)
	s := 0.0
	for i := range out {
		s += f.nitrous[i] * cell
		out[i] = s
	}
	return out
}
