package health

import (
	"math"

	"traplight/internal/num/stats"
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
		w.add(spec{
			id: "oil pressure", least: 1.3, rough: 6, title: "oil pressure for the engine speed", measure: ofPressure,
			terms: []term{{"", 50e3, 150e3, 6e3}, {"speed", 500e3, 400e3, 10e3}, {"over 0.45 speed", 0, 300e3, 15e3}, {"over 0.55 speed", -100e3, 300e3, 15e3}, {"over 0.65 speed", -100e3, 300e3, 15e3}, {"over 0.75 speed", -100e3, 300e3, 15e3}, {"over 0.85 speed", 0, 300e3, 15e3}, {"oil temperature", -5e3, 8e3, 3e3}, {"oil temperature at low speed", -20e3, 30e3, 8e3}, {"g", 0, 10e3, 4e3}},
			noise: 5e3, corr: 0.4, small: 18e3, visible: 30e3, delay: 0.02, shapes: usual,
			channels: names(c), quantities: []string{"oil_pressure"},
		}, run, f.column(c), nil, n, over(n, 0.45), over(n, 0.55), over(n, 0.65), over(n, 0.75), over(n, 0.85), hot, times(hot, apply(f.n, func(i int) float64 { return max(0.75-n[i], 0) })), g)
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
			id: "coolant pressure", rough: 2.5, title: "coolant pressure for temperature and engine speed", measure: ofPressure,
			terms: []term{{"", 40e3, 45e3, 5e3}, {"speed", 0, 30e3, 3e3}, {"speed²", 40e3, 40e3, 3e3}, {"coolant temperature", 12e3, 10e3, 3e3}, {"work", 10e3, 25e3, 4e3}, {"time", 0, 10e3, 3e3}, {"speed² a moment ago", 0, 40e3, 3e3}},
			noise: 1.2e3, corr: 0.5, small: 6e3, visible: 8e3, delay: 0.02, shapes: append([]shape{bySqueeze}, usual...),
			channels: names(c), quantities: []string{"coolant_pressure"},
		}, after, f.column(c), warm, n, square(n), scaled(ct, 353, 10), work, apply(f.n, func(i int) float64 { return max(f.t[i]-f.launch, 0) / 10 }), lag(square(n), 0.25))
	}
	if c := f.set.First(quantity.CrankcasePressure); c != nil {
		w.add(spec{
			id: "crankcase pressure", rough: 2.5, title: "crankcase pressure for the boost", measure: ofPressure,
			terms: []term{{"", 0.5e3, 2e3, 0.25e3}, {"boost", 1e3, 2e3, 0.2e3}, {"boost²", 0, 0.6e3, 0.08e3}, {"speed", 0.5e3, 2e3, 0.3e3}},
			noise: 0.25e3, corr: 0.4, small: 0.7e3, visible: 1e3, delay: 0.02, shapes: usual,
			channels: names(c), quantities: []string{"crankcase_pressure"},
		}, after, f.column(c), warm, clipped(f.bar(), -0.9, 9), square(over(f.bar(), 0)), n)
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
	s := 0.0
	for i := range out {
		if f.t[i] > f.launch && f.throttle[i] > 0.3 && f.air[i] > 0 {
			s += f.air[i] * cell / 10
		}
		out[i] = s
	}
	return out
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

// heat watches how fluids warm from what they were at the launch. How warm they
// were then is the crew's doing and no state of the engine.
func (w *watcher) heat() {
	f := w.frame
	run := f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+3 })
	tenth := apply(f.n, func(i int) float64 { return (f.t[i] - f.launch) / 10 })
	lagged := lag(f.work(), 2)
	for _, q := range []struct {
		name  quantity.Name
		id    string
		title string
	}{
		{quantity.OilTemperature, "oil heat", "rise of the oil's temperature"},
		{quantity.GearboxTemperature, "gearbox heat", "rise of the gearbox's temperature"},
		{quantity.FuelTemperature, "fuel heat", "rise of the fuel's temperature"},
	} {
		c := f.set.First(q.name)
		if c == nil {
			continue
		}
		w.add(spec{
			id: q.id, rough: 3, title: q.title, measure: ofTemperature,
			terms: []term{{"", 0, 0.6, 0.25}, {"time", 0.5, 1.5, 0.3}, {"work", 2, 4, 0.6}},
			noise: 0.15, corr: 2, small: 2.5, visible: 3, delay: 2, shapes: append([]shape{growing}, slow...),
			channels: names(c), quantities: []string{string(q.name)},
		}, run, f.fromLaunch(f.column(c)), lagged, tenth, lagged)
	}
	w.coolantHeat()
	w.coolerWater(run, tenth, lagged)
	w.chargeHeat()
}

// coolantHeat is a heat balance: what the engine put in, less what the radiator
// carries away by air speed, more so the wider a thermostat stands open, as it
// must from the temperature at the start and the work done. This pass's own
// readings have no say in what is expected of them.
func (w *watcher) coolantHeat() {
	f := w.frame
	c := f.set.First(quantity.CoolantTemperature)
	if c == nil {
		return
	}
	x := f.column(c)
	start := f.atLaunch(x)
	work := lag(f.work(), 2)
	wind := lag(f.sum(apply(f.n, func(i int) float64 {
		if !(f.t[i] > f.launch) || !(f.v[i] > 0) {
			return 0
		}
		return f.v[i] / 50
	})), 2)
	by := func(k float64) []float64 { return scaled(wind, 0, 1/k) }
	w.add(spec{
		id: "coolant heat", least: 1.7, rough: 3, title: "rise of the coolant's temperature", measure: ofTemperature,
		terms: []term{{"", 0, 0.6, 0.25}, {"work", 4, 8, 0.5}, {"work²", 0, 6, 0.4}, {"wind", -1, 6, 0.5}, {"wind, hotter start", -2, 4, 1.2}, {"wind, hotter day", 0, 3, 0.4}, {"work, hotter start", -1, 4, 1.2}},
		noise: 0.15, corr: 2, small: 2, visible: 2.5, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_temperature"},
	}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+0.5 }),
		scaled(x, start, 1), work, work, square(work), wind, by((start-355)/8), by((f.ambient-295)/20), scaled(work, 0, 8/(start-355+1e-9)))
}

// coolerWater takes up what the charge gives off.
func (w *watcher) coolerWater(run []bool, tenth, lagged []float64) {
	f := w.frame
	c := f.set.First(quantity.CoolerWaterTemperature)
	if c == nil {
		return
	}
	rise := f.idealRise()
	taken := lag(f.sum(apply(f.n, func(i int) float64 {
		if !(f.t[i] > f.launch) || !(f.air[i] > 0) {
			return 0
		}
		return f.air[i] * rise[i] / 100
	})), 1.5)
	w.add(spec{
		id: "cooler water heat", rough: 3, title: "rise of the cooler's water temperature", measure: ofTemperature,
		terms: []term{{"", 0, 0.6, 0.25}, {"time", 0, 1.5, 0.5}, {"work", 0, 6, 1}, {"taken", 3, 8, 1}},
		noise: 0.15, corr: 2, small: 2.5, visible: 3, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"cooler_water_temperature"},
	}, run, f.fromLaunch(f.column(c)), lagged, tenth, lagged, taken)
}

// fromLaunch is a reading less what it was at the launch.
func (f *frame) fromLaunch(x []float64) []float64 { return scaled(x, f.atLaunch(x), 1) }

// atLaunch is a reading's median in the second before the launch, or in the first
// that there is; unit of the reading.
func (f *frame) atLaunch(x []float64) float64 {
	var at []float64
	for i, v := range x {
		if math.IsNaN(v) || f.t[i] < f.launch-1 {
			continue
		}
		if len(at) > 4 && f.t[i] > f.launch+0.3 || len(at) > 50 {
			break
		}
		at = append(at, v)
	}
	return stats.Median(at)
}

// sum is the running integral over time, in tens of seconds.
func (f *frame) sum(x []float64) []float64 {
	out := make([]float64, len(x))
	s := 0.0
	for i, v := range x {
		if !math.IsNaN(v) {
			s += v * cell / 10
		}
		out[i] = s
	}
	return out
}

// idealRise is how far the compressor must have heated the air, K:
// T(π^((γ−1)/γ) − 1)/η with η 0.7 (references/turbo.md).
func (f *frame) idealRise() []float64 {
	return apply(f.n, func(i int) float64 {
		pr := (f.boost[i] + f.baro) / f.baro
		if !(pr > 1) {
			return 0
		}
		return f.ambient * (math.Pow(pr, 0.2857) - 1) / 0.7
	})
}

// chargeHeat watches the air after the cooler against what the compressor must
// have made of it: T(π^((γ−1)/γ) − 1)/η with η 0.7 (references/turbo.md).
func (w *watcher) chargeHeat() {
	f := w.frame
	c := f.set.First(quantity.ChargeTemperature)
	if c == nil {
		c = f.set.First(quantity.IntakeTemperature)
	}
	rise := f.idealRise()
	run := f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end })
	early := apply(f.n, func(i int) float64 { return math.Exp(-(f.t[i] - f.launch) / 12) })
	if c != nil {
		x := f.column(c)
		w.add(spec{
			id: "charge heat", least: 2.2, rough: 2, title: "charge temperature for the boost", measure: ofTemperature,
			terms: []term{{"", 10, 12, 4}, {"rise", 12, 20, 3.5}, {"rise slow", 15, 25, 4.5}, {"early", 5, 12, 8}, {"work", 5, 15, 3}},
			noise: 0.5, corr: 1, small: 4, visible: 3, delay: 0.9, shapes: slow,
			channels: names(c), quantities: []string{"charge_temperature"},
		}, run, scaled(x, f.ambient, 1), lag(scaled(rise, 0, 100), 3), scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100), early, f.work())
	}
	if c := f.set.First(quantity.CompressorOutletTemperature); c != nil {
		x := f.column(c)
		w.add(spec{
			id: "compressor heat", least: 1.8, rough: 3, title: "compressor outlet temperature for the boost", measure: ofTemperature,
			terms: []term{{"", 10, 15, 4}, {"rise", 60, 60, 4}, {"rise slow", 30, 60, 4}},
			noise: 1, corr: 1, small: 8, visible: 8, delay: 0.8, shapes: slow,
			channels: names(c), quantities: []string{"compressor_outlet_temperature"},
		}, run, scaled(x, f.ambient, 1), nil, scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100))
	}
}
