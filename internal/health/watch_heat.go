package health

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// heat watches how fluids warm from what they were at the launch. How warm they
// were then is the crew's doing and no state of the engine.
func (w *watcher) heat() {
	f := w.frame
	run := f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+3 })
	tenth := apply(f.n, func(i int) float64 { return (f.t[i] - f.launch) / 10 })
	lagged := lag(f.work(), 2)
	given := f.given()
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
			id: q.id, rough: 3, title: q.title, measure: ofTemperature, given: given,
			terms: []term{{"", 0, 0.6, 0.25}, {"time", 0.5, 1.5, 0.3}, {"work", 2, 4, 0.6}},
			noise: 0.15, corr: 2, small: 2.5, visible: 3, delay: 2, shapes: append([]shape{growing}, slow...),
			channels: names(c), quantities: []string{string(q.name)},
		}, run, f.fromLaunch(f.column(c)), lagged, tenth, lagged)
	}
	w.coolantHeat()
	w.coolerWater(tenth, lagged)
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
	given := f.given()
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
		id: "coolant heat", least: 1.7, rough: 3, title: "rise of the coolant's temperature", measure: ofTemperature, given: given,
		terms: []term{{"", 0, 0.6, 0.25}, {"work", 4, 8, 0.5}, {"work²", 0, 6, 0.4}, {"wind", -1, 6, 0.5}, {"wind, hotter start", -2, 4, 1.2}, {"wind, hotter day", 0, 3, 0.4}, {"work, hotter start", -1, 4, 1.2}},
		noise: 0.15, corr: 2, small: 2, visible: 2.5, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_temperature"},
	}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+0.5 }),
		scaled(x, start, 1), work, work, square(work), wind, by((start-355)/8), by((f.ambient-295)/20), scaled(work, 0, 8/(start-355+1e-9)))
}

// coolerWater takes up what the charge gives off.
func (w *watcher) coolerWater(tenth, lagged []float64) {
	f := w.frame
	c := f.set.First(quantity.CoolerWaterTemperature)
	if c == nil {
		return
	}
	given := f.given()
	rise := f.idealRise()
	taken := lag(f.sum(apply(f.n, func(i int) float64 {
		if !(f.t[i] > f.launch) || !(f.air[i] > 0) {
			return 0
		}
		return f.air[i] * rise[i] / 100
	})), 1.5)
	w.add(spec{
		id: "cooler water heat", rough: 3, title: "rise of the cooler's water temperature", measure: ofTemperature, given: given,
		terms: []term{{"", 0, 0.6, 0.25}, {"time", 0, 1.5, 0.5}, {"work", 0, 6, 1}, {"taken", 3, 8, 1}},
		noise: 0.15, corr: 2, small: 2.5, visible: 3, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"cooler_water_temperature"},
	}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end }), f.fromLaunch(f.column(c)), lagged, tenth, lagged, taken)
}

// given names what the work and the compressor's heat are reckoned from, as far as the
// log has it: without one of them they come out as none at all, and earlier passes
// that had it are no measure.
func (f *frame) given() string {
	out := ""
	for _, x := range []struct {
		mark string
		col  []float64
	}{{"n", f.speed}, {"p", f.boost}, {"t", f.throttle}} {
		if anyFinite(x.col) {
			out += x.mark
		}
	}
	return out
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
	given := f.given()
	rise := f.idealRise()
	run := f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end })
	early := apply(f.n, func(i int) float64 { return math.Exp(-(f.t[i] - f.launch) / 12) })
	if c != nil {
		x := f.column(c)
		w.add(spec{
			id: "charge heat", least: 2.2, rough: 2, title: "charge temperature for the boost", measure: ofTemperature, given: given,
			terms: []term{{"", 10, 12, 4}, {"rise", 12, 20, 3.5}, {"rise slow", 15, 25, 4.5}, {"early", 5, 12, 8}, {"work", 5, 15, 3}},
			noise: 0.5, corr: 1, small: 4, visible: 3, delay: 0.9, shapes: slow,
			channels: names(c), quantities: []string{"charge_temperature"},
		}, run, scaled(x, f.ambient, 1), lag(scaled(rise, 0, 100), 3), scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100), early, f.work())
	}
	if c := f.set.First(quantity.CompressorOutletTemperature); c != nil {
		x := f.column(c)
		w.add(spec{
			id: "compressor heat", least: 1.8, rough: 3, title: "compressor outlet temperature for the boost", measure: ofTemperature, given: given,
			terms: []term{{"", 10, 15, 4}, {"rise", 60, 60, 4}, {"rise slow", 30, 60, 4}},
			noise: 1, corr: 1, small: 8, visible: 8, delay: 0.8, shapes: slow,
			channels: names(c), quantities: []string{"compressor_outlet_temperature"},
		}, run, scaled(x, f.ambient, 1), nil, scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100))
	}
}
