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
	known := f.accounted()
	run := f.mask(func(i int) bool { return known[i] && f.t[i] > f.launch && f.t[i] < f.end+3 })
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

// coolerWater takes up what the charge gives off.
func (w *watcher) coolerWater(tenth, lagged []float64) {
	f := w.frame
	c := f.set.First(quantity.CoolerWaterTemperature)
	if c == nil {
		return
	}
	given, known := f.given(), f.accounted()
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
	}, f.mask(func(i int) bool { return known[i] && f.t[i] > f.launch && f.t[i] < f.end }), f.fromLaunch(f.column(c)), lagged, tenth, lagged, taken)
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

// A cooler with hardly any air through it follows no relation of a pass at full throttle:
// longer lifts than a shift's, s, and the time after them until it does again, s.
const (
	liftLong  = 0.5
	liftAfter = 1.3
)

// lifted marks the longer lifts between launch and end and what follows on them; behind a
// second one all, since the heat that the first has left is not out yet.
func (f *frame) lifted() []bool {
	out := make([]bool, f.n)
	from, until, lifts := -1, math.Inf(-1), 0
	long := int(math.Round(liftLong / cell))
	for i := range out {
		if f.t[i] < f.launch || f.t[i] > f.end || !(f.throttle[i] < 0.5) {
			from = -1
		} else {
			if from < 0 {
				from = i
			}
			if i-from == long && (len(f.gear) <= i || f.gear[i] > 0) {
				lifts++ // in the middle of a gear: a slow box's shift is none
			}
			if i-from >= long {
				for k := from; k < i; k++ {
					out[k] = true
				}
				if until = f.t[i] + liftAfter; lifts > 1 {
					until = math.Inf(1)
				}
			}
		}
		out[i] = out[i] || f.t[i] < until
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

// compressorHeat is the mean of idealRise at full throttle, K; NaN where it is not known.
func (f *frame) compressorHeat() float64 {
	s, n := 0.0, 0.0
	for i, r := range f.idealRise() {
		if f.full[i] && r > 0 {
			s, n = s+r, n+1
		}
	}
	return s / n
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
	known := f.accounted()
	run := f.mask(func(i int) bool { return known[i] && f.t[i] > f.launch && f.t[i] < f.end })
	early := apply(f.n, func(i int) float64 { return math.Exp(-(f.t[i] - f.launch) / 6) })
	if !anyFinite(f.boost) {
		return // nothing else tells how far the compressor heats the air
	}
	if c != nil {
		x := f.column(c)
		// A cooler takes a smaller share of the heat from more air.
		any := anyFinite(f.air)
		flow := apply(f.n, func(i int) float64 {
			if math.IsNaN(f.air[i]) && any {
				return nan() // and stays what it was
			}
			if !(f.air[i] > 0) {
				return 0
			}
			return rise[i] / 100 * f.air[i]
		})
		held := f.lifted()
		steady := f.mask(func(i int) bool { return run[i] && !held[i] })
		y := scaled(x, f.ambient, 1)
		// A cooler's core takes up what the charge gives off and gives it to the wind.
		taken := f.sum(apply(f.n, func(i int) float64 {
			if !(f.t[i] > f.launch) || !(f.air[i] > 0) || !(f.throttle[i] > 0.3) || math.IsNaN(y[i]) {
				return 0
			}
			return f.air[i] * (rise[i] - y[i]) / 100
		}))
		blown := f.sum(apply(f.n, func(i int) float64 {
			if !(f.t[i] > f.launch) || !(f.v[i] > 0) || math.IsNaN(y[i]) {
				return 0
			}
			return f.v[i] / 50 * y[i] / 30
		}))
		start := (f.atLaunch(x) - f.ambient) / 10
		w.add(spec{
			id: "charge heat", spell: 0.35, rough: 2, title: "charge temperature for the boost", measure: ofTemperature, given: given,
			terms: []term{{"", 2, 8, 2}, {"rise", 25, 20, 1}, {"flow", 0, 15, 1}, {"taken", 6, 12, 1}, {"blown", -1, 4, 0.5}, {"start", 6, 4, 0.8}, {"early", 2, 8, 1.8}, {"start early", 1, 4, 0.6}},
			noise: 0.5, corr: 1, small: 2, smallBelow: 4, visible: 3, delay: 0.9, shapes: slow,
			channels: names(c), quantities: []string{"charge_temperature"},
		}, steady, y, lag(scaled(rise, 0, 100), 3), scaled(lag(rise, 1), 0, 100), lag(flow, 1), lag(taken, 1), lag(blown, 1), filled(f.n, start), early, times(early, filled(f.n, start)))
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
