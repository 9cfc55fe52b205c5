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
	given, coolant := f.given(), f.first(quantity.CoolantTemperature)
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
		terms, feats := []term{{"", 0, 0.6, 0.25}, {"time", 0.5, 1.5, 0.3}, {"work", 2, 4, 0.6}}, [][]float64{tenth, lagged}
		if q.name == quantity.OilTemperature && coolant != nil {
			// Water cools or warms it, where they meet in the block or in an exchanger.
			terms = append(terms, term{"to the coolant", -1, 4, 0.3})
			feats = append(feats, lag(f.sum(apply(f.n, func(i int) float64 {
				if !(f.t[i] > f.launch) {
					return 0
				}
				return (f.column(c)[i] - coolant[i]) / 20
			})), 2))
		}
		w.add(spec{
			id: q.id, wild: true, rough: 3, title: q.title, measure: ofTemperature, given: given, terms: terms,
			noise: 0.15, corr: 2, small: 2.5, visible: 3, delay: 2, shapes: append([]shape{growing}, slow...),
			channels: names(c), quantities: []string{string(q.name)},
		}, run, f.fromLaunch(f.column(c)), lagged, feats...)
	}
	w.coolantHeat()
	w.coolantSwell()
	w.coolerWater(tenth, lagged)
	w.chargeHeat()
}

// coolantHeat is a heat balance: what the engine put in, less what the radiator
// carries away, in proportion to how much hotter than the air it is, more in faster air
// and the wider the thermostat stands open. How wide that is at which temperature the
// car's own passes tell, as a bent line. The temperatures are the pass's own: a radiator
// that fails meets hotter water and should carry off the more, so that the lack of it
// only stands out the clearer.
func (w *watcher) coolantHeat() {
	f := w.frame
	c := f.set.First(quantity.CoolantTemperature)
	if c == nil {
		return
	}
	x := f.column(c)
	work := lag(f.work(), 2)
	terms, feats := coolingTerms(1, 0.3), f.cooling(x)
	for i := range feats {
		feats[i] = lag(feats[i], 2)
	}
	w.add(spec{
		id: "coolant heat", least: 1.7, rough: 3, title: "rise of the coolant's temperature", measure: ofTemperature, given: f.given(),
		terms: append([]term{{"", 0, 0.6, 0.25}, {"work", 4, 8, 0.5}, {"work²", 0, 6, 0.4}}, terms...),
		noise: 0.15, corr: 2, small: 2, visible: 2.5, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_temperature"},
	}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end+0.5 }),
		f.fromLaunch(x), work, append([][]float64{work, square(work)}, feats...)...)
}

// coolantSwell is the same heat balance told by the coolant's pressure: warming, a
// closed circuit squeezes its cushion of air, and a pressure sensor is not slow, as a
// thermometer is. The pump adds its pressure with the square of its speed, behind the
// gauge's own lag.
func (w *watcher) coolantSwell() {
	f := w.frame
	c := f.set.First(quantity.CoolantPressure)
	t := f.set.First(quantity.CoolantTemperature)
	if c == nil || t == nil {
		return
	}
	pump := f.fromLaunch(square(f.normal()))
	work := f.work()
	terms, feats := coolingTerms(2e3, 0.6e3), f.cooling(f.column(t))
	w.add(spec{
		id: "coolant swell", least: 1.7, rough: 3, title: "rise of the coolant's pressure for the work", measure: ofPressure, given: f.given(),
		terms: append([]term{{"", 0, 5e3, 1e3}, {"pump", 30e3, 30e3, 1.5e3}, {"pump a moment ago", 10e3, 30e3, 1.5e3}, {"work", 8e3, 15e3, 1e3}, {"work²", 0, 10e3, 0.8e3}}, terms...),
		noise: 0.5e3, corr: 0.5, small: 5e3, visible: 6e3, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_pressure"},
	}, f.mask(func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end }),
		f.fromLaunch(f.column(c)), work, append([][]float64{pump, lag(pump, 0.25), work, square(work)}, feats...)...)
}

// opens are the temperatures, K, at which the line of the thermostat's opening may bend.
var opens = []float64{345, 352, 359}

// cooling is what the radiator had to carry away since the launch, by how wide the
// thermostat may stand open: in still air, in moving air, and in moving air in
// proportion to how far beyond each bend the coolant is; 1 for ten seconds at 50 m/s,
// 70 K over the air and 10 K beyond.
func (f *frame) cooling(coolant []float64) [][]float64 {
	over := func(i int) float64 {
		if !(f.t[i] > f.launch) || math.IsNaN(coolant[i]) {
			return 0
		}
		return (coolant[i] - f.ambient) / 70
	}
	wind := func(i int) float64 {
		if !(f.v[i] > 0) {
			return 0
		}
		return f.v[i] / 50
	}
	out := [][]float64{
		f.sum(apply(f.n, over)),
		f.sum(apply(f.n, func(i int) float64 { return over(i) * wind(i) })),
	}
	for _, k := range opens {
		out = append(out, f.sum(apply(f.n, func(i int) float64 {
			if !(coolant[i] > k) {
				return 0
			}
			return over(i) * wind(i) * (coolant[i] - k) / 10
		})))
	}
	return out
}

// coolingTerms are the terms of frame.cooling; unit is what one kelvin makes and wander
// its change from pass to pass, unit of the watch.
func coolingTerms(unit, wander float64) []term {
	out := []term{{"still air", 0, 4 * unit, wander}, {"wind", -1 * unit, 4 * unit, wander}}
	for range opens {
		out = append(out, term{"wind, open", -1 * unit, 5 * unit, wander})
	}
	return out
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
		id: "cooler water heat", wild: true, rough: 3, title: "rise of the cooler's water temperature", measure: ofTemperature, given: given,
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

// unfedFor is how long, s, engine speed, manifold pressure or throttle may be without
// readings in mid-pass until the sums made of them are worth nothing.
const unfedFor = 2.0

// unfed is the moment of the pass, s, from which one of them that the log has gives none;
// infinite when all do.
func (f *frame) unfed() float64 {
	at := math.Inf(1)
	for _, x := range [][]float64{f.speed, f.boost, f.throttle} {
		if !anyFinite(x) {
			continue
		}
		if from, ok := f.lasting(unfedFor, func(i int) bool { return math.IsNaN(x[i]) && f.t[i] > f.launch && f.t[i] < f.end }); ok {
			at = min(at, from)
		}
	}
	return at
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
		// A cooler takes a smaller share of the heat from more air.
		flow := apply(f.n, func(i int) float64 {
			if !(f.air[i] > 0) {
				return 0
			}
			return rise[i] / 100 * f.air[i]
		})
		w.add(spec{
			id: "charge heat", least: 2.2, rough: 2, title: "charge temperature for the boost", measure: ofTemperature, given: given,
			terms: []term{{"", 10, 12, 3}, {"rise", 12, 20, 2.5}, {"rise slow", 15, 25, 3}, {"early", 5, 12, 4}, {"work", 5, 15, 2}, {"start", 3, 5, 0.8}, {"flow", 0, 15, 1.5}},
			noise: 0.5, corr: 1, small: 4, visible: 3, delay: 0.9, shapes: slow,
			channels: names(c), quantities: []string{"charge_temperature"},
		}, run, scaled(x, f.ambient, 1), lag(scaled(rise, 0, 100), 3), scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100), early, f.work(), times(early, filled(f.n, (f.atLaunch(x)-f.ambient)/10)), lag(flow, 1))
	}
	if c := f.set.First(quantity.CompressorOutletTemperature); c != nil {
		x := f.column(c)
		w.add(spec{
			id: "compressor heat", wild: true, least: 1.8, rough: 3, title: "compressor outlet temperature for the boost", measure: ofTemperature, given: given,
			terms: []term{{"", 10, 15, 4}, {"rise", 60, 60, 4}, {"rise slow", 30, 60, 4}},
			noise: 1, corr: 1, small: 8, visible: 8, delay: 0.8, shapes: slow,
			channels: names(c), quantities: []string{"compressor_outlet_temperature"},
		}, run, scaled(x, f.ambient, 1), nil, scaled(lag(rise, 1), 0, 100), scaled(lag(rise, 5), 0, 100))
	}
}
