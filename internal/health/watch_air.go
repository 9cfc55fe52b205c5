package health

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// boosting is what the relations of the air's path share: columns by row.
type boosting struct {
	manifold *dictionary.Channel
	pr       []float64 // logarithm of manifold pressure over the barometer's
	rate     []float64 // of boost, bar a second, within ±3
	boosted  []bool    // full throttle and boost, a while after shift and launch
}

// airPath watches the turbo and the boost: each relation compares two readings
// at the same moment, so that another boost setting is no change.
func (w *watcher) airPath() {
	f := w.frame
	a := &boosting{
		manifold: f.set.First(quantity.ManifoldPressure),
		pr:       apply(f.n, func(i int) float64 { return math.Log((f.boost[i] + f.baro) / f.baro) }),
		rate:     clipped(scaled(f.boostRate, 0, 1e5), -3, 3),
		boosted:  f.mask(func(i int) bool { return f.full[i] && f.since[i] > 0.35 && f.boost[i] > 20e3 && f.t[i] > f.launch+2 }),
	}
	w.turboSpeed(a)
	w.backPressure(a)
	short := apply(f.n, func(i int) float64 { return f.target[i] - f.boost[i] })
	w.boostRise(a, short)
	w.boostReached(names(a.manifold))
	w.boostCourse(names(a.manifold))
	w.wastegate(a, short)
	w.pressureLosses(a)
}

// turboSpeed watches it against boost and flow.
func (w *watcher) turboSpeed(a *boosting) {
	f := w.frame
	air := logOf(f.air)
	for _, c := range f.lone(quantity.TurboSpeed) {
		x := f.column(c)
		root := 0.5 * math.Log(f.ambient/standardTemperature)
		// What a compressor is filled by is the flow corrected to its inlet, ṁ√T/p.
		fills := scaled(air, math.Log(f.baro/standardPressure)-root, 1)
		y := apply(f.n, func(i int) float64 {
			if !(x[i] > 100) {
				return nan()
			}
			return math.Log(x[i]) - root
		})
		// Compressor speed lines: pressure ratio rises with the square of the
		// speed, bent by flow; corrected speed as in references/turbo.md.
		w.add(spec{
			id: named("turbo speed", c), least: 1.3, rough: 4, title: "turbo speed for the boost and flow", measure: ofShare,
			terms: []term{{"", 9, 1, 0.005}, {"pressure ratio", 1.5, 1, 0.01}, {"pressure ratio²", -0.8, 0.8, 0.01}, {"pressure ratio³", 0.2, 0.3, 0.01}, {"air", 0.1, 0.15, 0.01}, {"boost rate", 0, 0.02, 0.005}},
			noise: 0.007, corr: 0.3, small: 0.012, visible: 0.015, delay: 0.03, shapes: usual,
			channels: names(c, a.manifold), quantities: []string{"turbo_speed", "manifold_pressure"},
		}, a.boosted, y, f.air, a.pr, square(a.pr), times(a.pr, square(a.pr)), fills, a.rate)
	}
}

// backPressure watches the pressure before the turbine against the manifold's.
func (w *watcher) backPressure(a *boosting) {
	f, n := w.frame, w.frame.normal()
	// The rotor's acceleration, where its speed is logged, tells a shut wastegate.
	rotor := make([]float64, f.n)
	if c := f.set.First(quantity.TurboSpeed); c != nil {
		rotor = clipped(scaled(rate(f.column(c), 5), 0, 1000), -3, 3)
	}
	// Beyond what these columns tell, as where a shift was missed and the rotor comes up from
	// far below, turbine and boost are in no balance.
	inBalance := f.mask(func(i int) bool { return a.boosted[i] && math.Abs(a.rate[i]) < 3 && math.Abs(rotor[i]) < 3 })
	for _, c := range f.lone(quantity.ExhaustPressure) {
		x := f.column(c)
		y := apply(f.n, func(i int) float64 {
			m := f.boost[i] + f.baro
			if !(x[i] > 0) || !(m > 0) {
				return nan()
			}
			return math.Log(x[i] / m)
		})
		w.add(spec{
			id: named("back-pressure", c), least: 1.9, rough: 4, title: "turbine inlet over manifold pressure", measure: ofShare,
			terms: []term{{"", 0, 0.4, 0.015}, {"pressure ratio", -0.3, 0.4, 0.02}, {"pressure ratio²", 0.2, 0.3, 0.02}, {"speed", 0.3, 0.4, 0.03}, {"speed²", 0, 0.4, 0.03}, {"boost rate", 0, 0.08, 0.02}, {"rotor", 0.05, 0.06, 0.02}, {"nitrous", 0, 0.1, 0.03}},
			noise: 0.015, corr: 0.3, small: 0.04, visible: 0.05, delay: 0.02, shapes: usual,
			channels: names(c, a.manifold), quantities: []string{"exhaust_pressure", "manifold_pressure"},
		}, inBalance, y, f.air, a.pr, square(a.pr), n, square(n), a.rate, rotor, f.nitrous)
	}
}

// boostRise watches how fast boost rises while it is still well under its target, short by so
// much, Pa: with the wastegate shut the rise is a matter of exhaust flow and rotor alone.
func (w *watcher) boostRise(a *boosting, short []float64) {
	f := w.frame
	n, b := f.normal(), f.bar()
	rising := f.mask(func(i int) bool {
		return f.full[i] && f.since[i] > 0.4 && short[i] > 15e3 && f.boost[i] > -20e3
	})
	near := apply(f.n, func(i int) float64 { return math.Exp(-short[i] / 25e3) })
	riseTerms := []term{{"", 0, 60e3, 8e3}, {"speed", 60e3, 150e3, 15e3}, {"boost", 0, 60e3, 8e3}, {"air", 50e3, 150e3, 15e3}, {"near", 0, 60e3, 15e3}, {"nitrous", 40e3, 60e3, 15e3}}
	if f.nitrousSeconds() > 0.5 {
		w.add(spec{
			id: "nitrous", title: "help of nitrous to the boost", measure: ofRate, terms: riseTerms,
			noise: 12e3, corr: 0.3, small: 20e3, visible: 25e3, shapes: []shape{byLoad}, whole: true,
			channels: names(f.set.First(quantity.Nitrous), a.manifold), quantities: []string{"nitrous"},
		}, rising, f.boostRate, f.nitrous, n, b, f.air, near, f.nitrous)
	}
	w.add(spec{
		id: "boost rise", largest: 400e3, rough: 4, title: "rate at which boost rises", measure: ofRate,
		terms: riseTerms,
		noise: 12e3, corr: 0.3, small: 15e3, visible: 25e3, delay: 0, shapes: usual,
		channels: names(a.manifold), quantities: []string{"manifold_pressure"},
	}, rising, f.boostRate, nil, n, b, f.air, near, f.nitrous)
}

// wastegate watches its duty against boost and what boost lacks to its target, Pa.
func (w *watcher) wastegate(a *boosting, short []float64) {
	f := w.frame
	if c := f.set.First(quantity.WastegateDuty); c != nil {
		errTo := clipped(scaled(short, 0, 5e4), -1, 1)
		if !anyFinite(errTo) {
			errTo = make([]float64, f.n)
		}
		w.add(spec{
			id: "wastegate", wild: true, least: 1.3, rough: 3, title: "wastegate duty for the boost", measure: ofShare,
			terms: []term{{"", 0.5, 0.4, 0.03}, {"boost", 0, 0.3, 0.03}, {"speed", 0, 0.5, 0.04}, {"error", 0, 0.6, 0.08}},
			noise: 0.03, corr: 0.4, small: 0.08, visible: 0.1, shapes: usual,
			channels: names(c, a.manifold), quantities: []string{"wastegate_duty", "manifold_pressure"},
		}, a.boosted, f.column(c), nil, f.bar(), f.normal(), errTo)
	}
}

// pressureLosses watches what cooler, pipes and filter take.
func (w *watcher) pressureLosses(a *boosting) {
	f := w.frame
	if c := f.set.First(quantity.CompressorOutletPressure); c != nil {
		x := f.column(c)
		w.add(spec{
			id: "cooler pressure loss", title: "pressure lost between compressor and manifold", measure: ofPressure,
			terms: []term{{"", 3e3, 8e3, 1.5e3}, {"air", 10e3, 20e3, 2e3}, {"boost rate", 0, 6e3, 1.5e3}},
			noise: 1.2e3, corr: 0.3, small: 5e3, visible: 6e3, shapes: usual,
			channels: names(c, a.manifold), quantities: []string{"compressor_outlet_pressure", "manifold_pressure"},
		}, a.boosted, apply(f.n, func(i int) float64 { return x[i] - f.boost[i] - f.baro }), f.air, f.air, a.rate)
	}
	if c := f.set.First(quantity.CompressorInletPressure); c != nil {
		x := f.column(c)
		w.add(spec{
			id: "inlet depression", title: "pressure lost before the compressor", measure: ofPressure,
			terms: []term{{"", 0, 2e3, 0.4e3}, {"air", 2e3, 3e3, 0.4e3}, {"air²", 2e3, 4e3, 0.4e3}},
			noise: 0.4e3, corr: 0.3, small: 1.5e3, visible: 2e3, shapes: usual,
			channels: names(c), quantities: []string{"compressor_inlet_pressure"},
		}, a.boosted, apply(f.n, func(i int) float64 { return f.baro - x[i] }), f.air, f.air, square(f.air))
	}
}

// boostReached watches boost against its target once it has been there in that
// gear, or should have been.
func (w *watcher) boostReached(ch []string) {
	f := w.frame
	settled := make([]bool, f.n)
	gear, reached := 0, false
	for i := range settled {
		// A foot that comes off lets it fall as a shift does.
		if f.gear[i] != gear || f.gear[i] == 0 || i > 0 && f.since[i] < f.since[i-1] {
			gear, reached = f.gear[i], false
		}
		if f.full[i] && f.boost[i] > 0.96*f.target[i] {
			reached = true
		}
		settled[i] = reached && f.full[i] && !f.loose(i) && f.t[i] > f.launch+5
	}
	y := apply(f.n, func(i int) float64 { return f.boost[i] - f.target[i] })
	fresh := apply(f.n, func(i int) float64 { return math.Exp(-(f.since[i] - 0.8) / 0.6) })
	arrived := f.arrivals(0.4, 1.3)
	w.add(spec{
		id: "boost over target", least: 1.8, rough: 9, title: "boost once it was at its target", measure: ofPressure,
		terms: []term{{"", 0, 5e3, 2e3}, {"early", 0, 10e3, 5e3}, {"speed", 0, 10e3, 4e3}, arrivedFast, arrivedSlow},
		noise: 2.5e3, corr: 0.5, small: 8e3, visible: 8e3, shapes: []shape{step, byLoad, ramp3, bout},
		channels: ch, quantities: []string{"manifold_pressure"},
	}, f.whereHeld(settled), y, nil, fresh, scaled(f.normal(), 0.85, 1), arrived[0], arrived[1])
	// Rows of boost that has had its time: late in the gear, at engine speeds that
	// feed the turbine.
	late := f.mask(func(i int) bool { return f.full[i] && f.since[i] > 1.2 && f.speed[i] > 0.7*f.nref })
	y2 := apply(f.n, func(i int) float64 { return min(f.boost[i]-f.target[i], 2e3) })
	tail := apply(f.n, func(i int) float64 { return math.Exp(-(f.since[i] - 1.2) / 0.7) })
	low := apply(f.n, func(i int) float64 {
		if f.gear[i] <= 2 {
			return 1
		}
		return 0
	})
	w.add(spec{
		id: "boost short of target", rough: 2.5, title: "boost late in the gear", measure: ofPressure,
		terms: []term{{"", -2e3, 5e3, 3e3}, {"tail", -8e3, 20e3, 10e3}, {"low gears", 0, 25e3, 12e3}, {"speed", 0, 30e3, 10e3}},
		noise: 4e3, corr: 1, small: 8e3, visible: 8e3, shapes: usual,
		channels: ch, quantities: []string{"manifold_pressure"},
	}, late, y2, nil, tail, low, scaled(f.normal(), 0.85, 1))
}

// boostCourse watches boost from shift to shift against its usual course in that
// gear: a level, and two dying exponentials of the time since the shift, by gear.
// Only a car's own passes can tell that course.
func (w *watcher) boostCourse(ch []string) {
	f := w.frame
	if !anyFinite(f.target) {
		return
	}
	top := min(len(f.sheet.Gears), 8)
	terms := []term{{"", -5e3, 30e3, 2e3}, {"speed", 0, 60e3, 10e3}, {"nitrous", 20e3, 30e3, 10e3}}
	feats := [][]float64{scaled(f.normal(), 0.85, 1), f.nitrous}
	terms, feats = append(terms, arrivedFast, arrivedSlow), append(feats, f.arrivals(0.4, 1.3)...)
	for g := 2; g <= top; g++ {
		in := func(h func(ts float64) float64) []float64 {
			return apply(f.n, func(i int) float64 {
				if f.gear[i] != g {
					return 0
				}
				return h(f.since[i])
			})
		}
		if g > 2 {
			terms = append(terms, term{"level of gear", 0, 15e3, 2e3})
			feats = append(feats, in(func(float64) float64 { return 1 }))
		}
		terms = append(terms, term{"fast of gear", -60e3, 80e3, 12e3}, term{"slow of gear", -20e3, 50e3, 8e3})
		feats = append(feats, in(func(ts float64) float64 { return math.Exp(-(ts - 0.3) / 0.25) }), in(func(ts float64) float64 { return math.Exp(-(ts - 0.3) / 0.8) }))
	}
	w.add(spec{
		id: "boost course", wild: true, least: 1.8, title: "boost at this time in the gear", measure: ofPressure, rough: 8,
		terms: terms, noise: 4e3, corr: 0.4, small: 8e3, visible: 6e3, shapes: slow,
		channels: ch, quantities: []string{"manifold_pressure"},
	}, f.whereHeld(f.mask(func(i int) bool {
		return f.full[i] && f.gear[i] >= 2 && f.since[i] > 0.3 && !f.onTheWay(i) && !f.again[i]
	})),
		apply(f.n, func(i int) float64 { return f.boost[i] - f.target[i] }), nil, feats...)
}

func anyFinite(x []float64) bool {
	for _, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return true
		}
	}
	return false
}

// torque watches what the engine gives for its air.
func (w *watcher) torque() {
	f := w.frame
	n, b := f.normal(), f.bar()
	vd := f.sheet.Displacement
	scale := 7.0
	if vd > 0 {
		scale = math.Log(vd * 1e5 / (4 * math.Pi) * 11) // about 11 bar of brake mean pressure for a bar of air
	}
	force := f.pass.Force
	if _, seldom := f.seldomTorque(); force == nil || seldom || !f.roadSpeed() {
		return
	}
	sd := f.onMotion(force.HubSD)
	hub := f.onMotion(force.HubTorque)
	mask := f.mask(func(i int) bool {
		return f.full[i] && f.since[i] > 0.4 && (f.gear[i] > 1 || f.t[i] > f.launch+3.5) && !(f.slip[i] > 0.15) && hub[i] > 0 && sd[i] < 0.12*hub[i] && f.crank[i] > 0
	})
	y := apply(f.n, func(i int) float64 {
		p := f.boost[i] + f.baro
		if !(f.crank[i] > 0) || !(p > 0) {
			return nan()
		}
		return math.Log(f.crank[i]) - math.Log(p/1e5*300/f.charge[i])
	})
	// Share of the thrust that goes into the air: how far a wrong wind or drag
	// area would show as torque.
	rho := f.baro / (gasConstantAir * f.ambient)
	drag := apply(f.n, func(i int) float64 {
		return 0.5 * rho * f.sheet.DragArea.Value * f.v[i] * f.v[i] / max(f.tyreForce[i], 500)
	})
	s := spec{
		id: "torque over air", lawful: true, rough: 2.5, title: "torque for the air", measure: ofShare,
		terms: []term{{"", scale, 0.35, 0.015}, {"speed", 0, 0.6, 0.03}, {"speed²", -0.3, 0.6, 0.03}, {"boost", 0.03, 0.06, 0.008}, {"drag", 0, 0.1, 0.06}, {"nitrous", 0.1, 0.15, 0.04}, {"boost rate", 0, 0.03, 0.01}, {"charge temperature", 0, 0.03, 0.004}, {"boost come lately", -0.02, 0.05, 0.01}},
		noise: 0.02, corr: 0.4, small: 0.04, visible: 0.05, shapes: usual,
		channels: f.motionNames(), quantities: []string{"manifold_pressure", "charge_temperature", "acceleration_long", "motion"},
	}
	feats := [][]float64{n, square(n), b, drag, f.nitrous, clipped(scaled(f.boostRate, 0, 1e5), -3, 3), scaled(f.charge, 320, 10), comeLately(b)}
	w.add(s, mask, y, over(b, 0), feats...)
	if f.nitrousSeconds() > 0.5 {
		s.id, s.title, s.shapes, s.whole = "nitrous torque", "torque while nitrous flows", []shape{byLoad}, true
		w.add(s, mask, y, f.nitrous, feats...)
	}
}

// motionNames are the channels that torque rests on.
func (f *frame) motionNames() []string {
	return names(f.set.First(quantity.AccelerationLong), f.set.First(quantity.EngineSpeed), f.set.First(quantity.ManifoldPressure))
}
