package health

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// fuelOver is the fuel pressure over the manifold, Pa, and whether the regulator
// follows the manifold at all (a returnless system may hold a fixed gauge
// pressure).
func (f *frame) fuelOver() (dp []float64, follows bool) {
	p := f.first(quantity.FuelPressure)
	if p == nil {
		return nil, false
	}
	follows = f.regulatorFollows(p)
	dp = apply(f.n, func(i int) float64 {
		if follows {
			return p[i] - f.boost[i]
		}
		return p[i]
	})
	return dp, follows
}

// regulatorFollows says whether fuel pressure rises with the manifold: by the
// sheet, whose base pressure is over the manifold, unless the reading at idle
// denies it; else by its slope on boost in the lower half of the boost, where no
// pump has run out.
func (f *frame) regulatorFollows(p []float64) bool {
	var rest, vac []float64
	top := 0.0
	for i := range p {
		if math.IsNaN(p[i]) || math.IsNaN(f.boost[i]) {
			continue
		}
		if f.idle[i] {
			rest, vac = append(rest, p[i]), append(vac, f.boost[i])
		}
		top = max(top, f.boost[i])
	}
	if b := f.sheet.FuelPressureBase; b > 0 {
		if len(rest) < 25 {
			return true
		}
		over := stats.Median(rest) - stats.Median(vac)
		return math.Abs(over-b) <= math.Abs(stats.Median(rest)-b)+10e3
	}
	var lowB, lowP, highB, highP []float64
	for i := range p {
		if math.IsNaN(p[i]) || math.IsNaN(f.boost[i]) || math.Abs(f.boostRate[i]) > 60e3 {
			continue
		}
		switch {
		case f.boost[i] < -30e3:
			lowB, lowP = append(lowB, f.boost[i]), append(lowP, p[i])
		case f.boost[i] > 0.1*top && f.boost[i] < 0.5*top:
			highB, highP = append(highB, f.boost[i]), append(highP, p[i])
		}
	}
	if len(lowB) < 20 || len(highB) < 20 {
		return true
	}
	return (stats.Median(highP)-stats.Median(lowP))/(stats.Median(highB)-stats.Median(lowB)) > 0.5
}

// fuel watches pressure over the manifold, and what injectors and flow meter say
// against the air.
func (w *watcher) fuel() {
	f := w.frame
	pressure := f.set.First(quantity.FuelPressure)
	manifold := f.set.First(quantity.ManifoldPressure)
	dp, follows := f.fuelOver()
	rate100 := clipped(scaled(f.boostRate, 0, 1e5), -3, 3)
	base := term{"", 350e3, 120e3, 2.5e3}
	if b := f.sheet.FuelPressureBase; b > 0 && follows {
		base = term{"", b, 25e3, 2.5e3}
	}
	if dp != nil {
		// Load: how far into the pump's capacity the engine reaches.
		w.add(spec{
			id: "fuel over manifold", title: "fuel pressure over manifold pressure", measure: ofPressure,
			terms: []term{base, {"air", -2e3, 10e3, 2e3}, {"boost", 0, 4e3, 1e3}, {"boost rate", -2e3, 5e3, 1.5e3}},
			noise: 2e3, corr: 0.3, small: 6e3, visible: 12e3, delay: 0.02, shapes: append([]shape{atEnd8, atEnd9}, usual...),
			channels: names(pressure, manifold), quantities: []string{"fuel_pressure", "manifold_pressure"},
		}, f.mask(func(i int) bool {
			return (f.full[i] || f.power[i] && f.since[i] > 0.4) && f.boostRate[i] > -80e3
		}), dp, f.air, f.air, f.bar(), rate100)
	}
	n := f.normal()
	duty, flow := f.first(quantity.InjectorDuty), f.first(quantity.FuelFlow)
	if flow == nil {
		flow = f.first(quantity.FuelVolumeFlow)
	}
	// What the injectors must have passed, in arbitrary units: duty and the root
	// of the pressure across them (Bernoulli).
	var asked []float64
	perAir, dense := f.fuelPerAir()
	if duty != nil {
		asked = apply(f.n, func(i int) float64 {
			d := 1.0
			if dp != nil && follows {
				d = dp[i] / 350e3
			} else if dp != nil {
				d = (dp[i] - f.boost[i]) / 350e3
			}
			if !(d > 0.05) || !(duty[i] > 0.05) {
				return nan()
			}
			return math.Log(duty[i]) + 0.5*math.Log(d)
		})
	}
	air := logOf(f.air)
	fuelTerms := []term{{"", 0, 3, 0.008}, {"speed", 0, 0.5, 0.02}, {"speed²", 0, 0.8, 0.02}, {"boost", 0, 0.08, 0.006}, {"nitrous", 0.1, 0.2, 0.03}}
	n2o := f.nitrous
	mask := f.fullAfter(0.4)
	if asked != nil {
		s := spec{
			id: "injectors over air", least: 1.3, rough: 2.5, title: "injector opening for the air", measure: ofShare, terms: fuelTerms,
			noise: 0.012, corr: 0.3, small: 0.03, visible: 0.04, shapes: usual,
			channels:   names(f.set.First(quantity.InjectorDuty), pressure, manifold),
			quantities: []string{"injector_duty", "fuel_pressure", "manifold_pressure", "charge_temperature"},
		}
		w.add(s, mask, apply(f.n, func(i int) float64 { return asked[i] + dense/2 - perAir - air[i] }), f.air, n, square(n), f.bar(), n2o)
	}
	if flow != nil {
		lf := apply(f.n, func(i int) float64 {
			if !(flow[i] > 0) {
				return nan()
			}
			return math.Log(flow[i])
		})
		c := f.set.First(quantity.FuelFlow)
		if c == nil {
			c = f.set.First(quantity.FuelVolumeFlow)
			lf = scaled(lf, -dense-math.Log(750), 1) // kg/s, as the other
		}
		flowTerms := append([]term{{"", 0, 12, 0.008}, {"boost come lately", -0.02, 0.05, 0.008}}, fuelTerms[1:]...)
		w.add(spec{
			id: "fuel flow over air", least: 1.3, rough: 2.5, title: "fuel flow for the air", measure: ofShare, terms: flowTerms,
			noise: 0.012, corr: 0.3, small: 0.03, visible: 0.04, delay: 0.05, shapes: usual,
			channels: names(c, manifold), quantities: []string{"fuel_flow", "manifold_pressure", "charge_temperature"},
		}, mask, apply(f.n, func(i int) float64 { return lf[i] - perAir - air[i] }), f.air, comeLately(f.bar()), n, square(n), f.bar(), n2o)
		if asked != nil {
			w.add(spec{
				id: "fuel flow over injectors", title: "fuel flow for the injector opening", measure: ofShare,
				terms: []term{{"", 0, 12, 0.006}, {"air", 0, 0.1, 0.006}},
				noise: 0.012, corr: 0.3, small: 0.03, visible: 0.04, shapes: usual,
				channels: names(c, f.set.First(quantity.InjectorDuty)), quantities: []string{"fuel_flow", "injector_duty"},
			}, mask, apply(f.n, func(i int) float64 { return lf[i] - asked[i] - dense/2 }), f.air, f.air)
		}
	}
	if pd := f.set.First(quantity.PumpDuty); pd != nil {
		w.add(spec{
			id: "pump duty", title: "fuel pump duty", measure: ofShare,
			terms: []term{{"", 0.6, 0.4, 0.03}, {"air", 0.2, 0.4, 0.03}},
			noise: 0.02, corr: 0.5, small: 0.06, visible: 0.08, shapes: usual,
			channels: names(pd), quantities: []string{"pump_duty"},
		}, mask, f.column(pd), f.air, f.air)
	}
	for _, c := range f.lone(quantity.FuelTrim) {
		w.add(spec{
			id: named("fuel trim", c), title: "fuel trim", measure: ofShare,
			terms: []term{{"", 0, 0.06, 0.015}, {"air", 0, 0.05, 0.01}},
			noise: 0.01, corr: 1, small: 0.03, visible: 0.04, shapes: usual,
			channels: names(c), quantities: []string{"fuel_trim"},
		}, mask, f.column(c), f.air, f.air)
	}
}

// mixture watches lambda against its target or its usual, and bank against bank.
func (w *watcher) mixture() {
	f := w.frame
	cs := f.lone(quantity.Lambda)
	if len(cs) == 0 {
		return
	}
	cols := make([][]float64, len(cs))
	for i, c := range cs {
		cols[i] = f.column(c)
	}
	mask := f.mask(func(i int) bool { return f.full[i] && f.since[i] > 0.6 && f.t[i] > f.launch+2 })
	n := f.normal()
	early := apply(f.n, func(i int) float64 { return math.Exp(-(f.since[i] - 0.6) / 0.3) })
	target := f.first(quantity.LambdaTarget)
	// A mixture table bends where boost begins: rich under full load, leaner before it, often
	// level on both sides (common practice, no source). A straight line through the upper gears
	// makes the low boost of a slow launch look lean.
	b := f.bar()
	under := func(x float64) []float64 {
		return apply(f.n, func(i int) float64 { return max(0, x-b[i]) })
	}
	level := term{"", 0.82, 0.07, 0.006}
	bend := 0.1
	y := meanOf(cols)
	if target != nil {
		mean := y
		y = apply(f.n, func(i int) float64 { return mean[i] - target[i] })
		level = term{"", 0, 0.02, 0.006}
		bend = 0.02
	}
	s := spec{
		id: "lambda", rough: 3, title: "lambda", measure: ofLambda,
		terms: []term{level, {"boost", 0, 0.02, 0.004}, {"speed", 0, 0.05, 0.012}, {"early", 0, 0.04, 0.015}, {"boost rate", 0, 0.02, 0.008}, {"nitrous", 0, 0.05, 0.02}, {"boost under 0.5 bar", 0, bend, 0.02}, {"boost under 1 bar", 0, bend, 0.02}},
		noise: 0.008, corr: 0.4, small: 0.015, visible: 0.02, delay: 0.1, shapes: usual,
		channels: names(cs...), quantities: []string{"lambda"},
	}
	feats := [][]float64{b, n, early, clipped(scaled(f.boostRate, 0, 1e5), -2, 2), f.nitrous, under(0.5), under(1)}
	w.add(s, mask, y, f.air, feats...)
	if f.nitrousSeconds() > 0.5 {
		s.id, s.title, s.shapes, s.whole = "nitrous mixture", "lambda while nitrous flows", []shape{byLoad}, true
		w.add(s, mask, y, f.nitrous, feats...)
	}
	w.apart(spec{
		id: "lambda apart", measure: ofLambda,
		terms: []term{{"", 0, 0.015, 0.004}, {"boost", 0, 0.006, 0.002}, {"early", 0, 0.01, 0.004}},
		noise: 0.004, corr: 0.3, small: 0.012, visible: 0.02, delay: 0.1, shapes: usual,
		channels: names(cs...), quantities: []string{"lambda"},
	}, mask, cs, cols, f.bar(), early)
}

// exhaust watches exhaust temperatures, together and one against the others.
func (w *watcher) exhaust() {
	f := w.frame
	cs := f.lone(quantity.ExhaustTemperature)
	if len(cs) == 0 {
		return
	}
	cols := make([][]float64, len(cs))
	for i, c := range cs {
		cols[i] = f.column(c)
	}
	on := f.mask(func(i int) bool { return f.t[i] > f.launch+1.5 && f.t[i] < f.end && f.gear[i] > 0 })
	heat := apply(f.n, func(i int) float64 {
		if f.throttle[i] < 0.3 {
			return 0
		}
		return f.air[i]
	})
	turning := apply(f.n, func(i int) float64 {
		if f.throttle[i] < 0.3 {
			return 0
		}
		return f.speed[i] / f.nref
	})
	open := apply(f.n, func(i int) float64 {
		if f.throttle[i] < 0.3 {
			return 0
		}
		return 1
	})
	h1, n1, o1 := lag(heat, 0.8), lag(turning, 0.8), lag(open, 0.8)
	o3, h3 := lag(open, 2.5), lag(heat, 2.5)
	since := apply(f.n, func(i int) float64 { return math.Exp(-(f.t[i] - f.launch) / 4) })
	s := spec{
		id: "exhaust temperature", wild: true, rough: 4, title: "exhaust temperature", measure: ofTemperature,
		terms: []term{{"", 700, 250, 10}, {"air", 0, 150, 12}, {"speed", 0, 150, 12}, {"open", 250, 200, 15}, {"open slow", 100, 150, 12}, {"air slow", 0, 150, 12}, {"early", 0, 100, 20}, {"nitrous", 30, 60, 15}, {"open, the probe", 0, 100, 10}, {"air, the probe", 0, 100, 10}},
		noise: 5, corr: 0.8, small: 20, visible: 25, delay: 0.7, shapes: usual,
		channels: names(cs...), quantities: []string{"exhaust_temperature"},
	}
	gas := lag(f.nitrous, 0.8)
	feats := [][]float64{h1, n1, o1, o3, h3, since, gas, lag(o1, 0.6), lag(h1, 0.6)}
	w.add(s, on, meanOf(cols), f.air, feats...)
	if f.nitrousSeconds() > 0.5 {
		s.id, s.title, s.shapes, s.whole = "nitrous exhaust", "exhaust temperature while nitrous flows", []shape{byLoad}, true
		w.add(s, on, meanOf(cols), gas, feats...)
	}
	w.apart(spec{
		id: "exhaust apart", measure: ofTemperature,
		terms: []term{{"", 0, 25, 4}, {"air", 0, 15, 4}, {"open", 0, 20, 4}},
		noise: 2.5, corr: 0.6, small: 12, visible: 15, delay: 0.7, shapes: usual,
		channels: names(cs...), quantities: []string{"exhaust_temperature"},
	}, on, cs, cols, h1, o1)
}

// apart watches each of several sensors of one quantity, whose columns are cols, against the
// median of the others; of two, one against the other. The spec's id is what the sensor's
// number is put to.
func (w *watcher) apart(s spec, mask []bool, cs []*dictionary.Channel, cols [][]float64, feats ...[]float64) {
	id := s.id
	for k, c := range cs {
		if len(cs) == 1 || len(cs) == 2 && k == 1 {
			return
		}
		o := others(cols, k)
		s.id, s.title = named(id, c), c.Name+" against the others"
		w.add(s, mask, apply(w.n, func(i int) float64 { return cols[k][i] - o[i] }), w.air, feats...)
	}
}
