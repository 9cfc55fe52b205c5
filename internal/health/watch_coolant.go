package health

import (
	"math"

	"traplight/internal/quantity"
)

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
	work, known := lag(f.work(), 2), f.accounted()
	terms, feats := coolingTerms(1, 0.3), f.cooling(x)
	for i := range feats {
		feats[i] = lag(feats[i], 2)
	}
	w.add(spec{
		id: "coolant heat", least: 1.7, rough: 3, title: "rise of the coolant's temperature", measure: ofTemperature, given: f.given(),
		terms: append([]term{{"", 0, 0.6, 0.25}, {"work", 4, 8, 0.5}, {"work²", 0, 6, 0.4}, {atLaunch, 0, 0.05, 0.02}}, terms...),
		noise: 0.15, corr: 2, small: 2, visible: 2.5, delay: 2, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_temperature"},
	}, f.mask(func(i int) bool { return known[i] && f.t[i] > f.launch && f.t[i] < f.end+0.5 }),
		f.fromLaunch(x), work, append([][]float64{work, square(work), f.startedAt(x)}, feats...)...)
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
	work, known := f.work(), f.accounted()
	terms, feats := coolingTerms(2e3, 0.6e3), f.cooling(f.column(t))
	w.add(spec{
		id: "coolant swell", least: 1.7, rough: 3, title: "rise of the coolant's pressure for the work", measure: ofPressure, given: f.given(),
		terms: append([]term{{"", 0, 5e3, 1e3}, {"pump", 30e3, 30e3, 1.5e3}, {"pump a moment ago", 10e3, 30e3, 1.5e3}, {"work", 8e3, 15e3, 1e3}, {"work²", 0, 10e3, 0.8e3}, {atLaunch, 0, 0.1e3, 0.05e3}}, terms...),
		noise: 0.5e3, corr: 0.5, small: 5e3, visible: 6e3, shapes: append([]shape{growing}, slow...),
		channels: names(c), quantities: []string{"coolant_pressure"},
	}, f.mask(func(i int) bool { return known[i] && f.t[i] > f.launch && f.t[i] < f.end }),
		f.fromLaunch(f.column(c)), work, append([][]float64{pump, lag(pump, 0.25), work, square(work), f.startedAt(f.column(t))}, feats...)...)
}

// atLaunch is the column, the same all through, of the coolant's temperature when the car
// started. A start hotter than any before finds the thermostat wider open than any
// before: see reach.find.
const atLaunch = "coolant at the launch"

// startedAt is the coolant's temperature at the launch, 10 K over 350 K.
func (f *frame) startedAt(coolant []float64) []float64 {
	i := min(max(int(math.Round((f.launch-f.t[0])/cell)), 0), f.n-1)
	v := coolant[i]
	if math.IsNaN(v) {
		v = 350
	}
	return filled(f.n, (v-350)/10)
}

// opens are the temperatures, K, at which the line of the thermostat's opening may bend.
var opens = []float64{345, 352, 359}

// cooling is what the radiator had to carry away since the launch, by how wide the
// thermostat may stand open: in still air, in moving air, in moving air in proportion
// to how far beyond each bend the coolant is, and how hot it was at the launch; 1 for ten seconds at 50 m/s,
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
	// A thermostat's wax is slow: for a while it stands as open as the launch found it.
	open := f.startedAt(coolant)[0]
	blown := out[1]
	return append(out, apply(f.n, func(i int) float64 { return open * blown[i] }))
}

// coolingTerms are the terms of frame.cooling; unit is what one kelvin makes and wander
// its change from pass to pass, unit of the watch.
func coolingTerms(unit, wander float64) []term {
	out := []term{{"still air", 0, 4 * unit, wander}, {"wind", -1 * unit, 4 * unit, wander}}
	for range opens {
		out = append(out, term{"wind, open", -1 * unit, 5 * unit, wander})
	}
	return append(out, term{"wind, open at the launch", -0.5 * unit, 3 * unit, wander})
}
