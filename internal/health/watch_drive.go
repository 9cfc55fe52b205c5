package health

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// roadSpeed tells whether anything but the engine told the car's speed: against a speed made
// from its own turning an engine says nothing.
func (f *frame) roadSpeed() bool {
	for _, q := range []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR,
		quantity.DrivenSpeed, quantity.VehicleSpeed, quantity.GPSSpeed, quantity.Latitude, quantity.AccelerationLong} {
		if f.set.First(q) != nil {
			return true
		}
	}
	return false
}

// wheels gives the driven and the undriven wheels' columns, m/s as logged.
func (f *frame) wheels() (driven, undriven []*dictionary.Channel) {
	front := []*dictionary.Channel{f.set.First(quantity.WheelSpeedFL), f.set.First(quantity.WheelSpeedFR)}
	rear := []*dictionary.Channel{f.set.First(quantity.WheelSpeedRL), f.set.First(quantity.WheelSpeedRR)}
	pick := func(in ...*dictionary.Channel) (out []*dictionary.Channel) {
		for _, c := range in {
			if c != nil {
				out = append(out, c)
			}
		}
		return out
	}
	switch f.sheet.Driven {
	case car.FrontDriven:
		return pick(front...), pick(rear...)
	case car.RearDriven:
		return pick(rear...), pick(front...)
	case car.AllDriven:
		return pick(append(front, rear...)...), nil
	}
	return nil, nil
}

// driveline watches engine against wheels, wheels against the road and wheels
// against each other.
func (w *watcher) driveline() {
	f := w.frame
	driven, undriven := f.wheels()
	var cols [][]float64
	for _, c := range driven {
		cols = append(cols, f.column(c))
	}
	if len(cols) == 0 {
		if c := f.set.First(quantity.DrivenSpeed); c != nil {
			driven, cols = []*dictionary.Channel{c}, [][]float64{f.column(c)}
		}
	}
	engine := f.set.First(quantity.EngineSpeed)
	locked := f.mask(func(i int) bool {
		return f.full[i] && f.t[i] > f.launch+2.5 && f.since[i] > 0.35 && f.gear[i] <= len(f.sheet.Gears)
	})
	total := func(i int) float64 {
		g := f.gear[i]
		if g < 1 || g > len(f.sheet.Gears) {
			return nan()
		}
		return f.sheet.Gears[g-1] * f.sheet.FinalDrive
	}
	r := f.sheet.TyreRadius.Value
	grip := f.usedGrip
	if !anyFinite(grip) {
		grip = scaled(f.a, 0, 10)
	}
	// Where the tyres are near their limit slip says nothing about their state.
	most := 0.0
	for i := range grip {
		if f.full[i] && grip[i] > most {
			most = grip[i]
		}
	}
	gripped := f.mask(func(i int) bool { return locked[i] && f.v[i] > 25 && f.gear[i] >= 2 && grip[i] < 0.7*most })
	gripped = f.clear(gripped, 0.6) // on a slippery strip tyres that slide pull less than at their best
	if len(cols) > 0 {
		// Nor where they slip as much as any tyre pulls best at; without a wheel to tell it from,
		// that may be the clutch.
		for i := range gripped {
			gripped[i] = gripped[i] && !(f.slip[i] > spinning/2)
		}
	}
	v2 := apply(f.n, func(i int) float64 { return f.v[i] * f.v[i] / 6400 })
	if len(cols) > 0 && r > 0 {
		wheel := meanOf(cols)
		y := apply(f.n, func(i int) float64 {
			if !(wheel[i] > 8) || !(f.speed[i] > 0) {
				return nan()
			}
			return math.Log(f.speed[i] * r / (total(i) * wheel[i]))
		})
		w.add(spec{
			id: "engine over wheels", title: "engine speed against driven wheels", measure: ofShare,
			terms: []term{{"", 0, 0.04, 0.004}, {"v²", 0, 0.01, 0.003}, {"acceleration", 0, 0.01, 0.002}},
			noise: 0.0025, corr: 0.15, small: 0.006, visible: 0.008, shapes: usual,
			channels: names(append([]*dictionary.Channel{engine}, driven...)...), quantities: []string{"engine_speed", "wheel_speed"},
		}, f.holding(locked), y, f.air, v2, scaled(f.a, 0, 10))
	}
	if r > 0 && anyFinite(f.v) && f.roadSpeed() {
		y := apply(f.n, func(i int) float64 {
			if !(f.v[i] > 15) || !(f.speed[i] > 0) {
				return nan()
			}
			return math.Log(f.speed[i] * r / (total(i) * f.v[i]))
		})
		w.add(spec{
			id: "engine over road", rough: 2, title: "engine speed against road speed", measure: ofShare,
			terms: []term{{"", 0.02, 0.05, 0.008}, {"v²", -0.03, 0.05, 0.008}, {"grip", 0, 0.06, 0.02}, {"grip²", 0.03, 0.05, 0.02}},
			noise: 0.006, corr: 0.4, small: 0.015, visible: 0.02, shapes: usual,
			channels: names(engine), quantities: []string{"engine_speed", "motion"},
		}, gripped, y, f.air, v2, grip, square(grip))
	}
	if len(cols) > 0 {
		wheel := meanOf(cols)
		y := apply(f.n, func(i int) float64 {
			if !(wheel[i] > 8) || !(f.v[i] > 15) {
				return nan()
			}
			return math.Log(wheel[i] / f.v[i])
		})
		w.add(spec{
			id: "tyre slip", rough: 2, title: "driven wheels against road speed", measure: ofShare,
			terms: []term{{"", 0.02, 0.05, 0.008}, {"v²", -0.03, 0.05, 0.008}, {"grip", 0, 0.06, 0.02}, {"grip²", 0.03, 0.05, 0.02}},
			noise: 0.006, corr: 0.4, small: 0.02, visible: 0.02, shapes: slow,
			channels: names(driven...), quantities: []string{"wheel_speed", "motion"},
		}, gripped, y, f.air, v2, grip, square(grip))
	}
	w.pairs(driven, "driven")
	w.pairs(undriven, "undriven")
	w.pressed()
	w.coast()
}

// spinning is the slip of the driven tyres, 1, beyond which they spin: twice what any
// tyre pulls best at. A differential then lets either wheel run ahead, by 5 % and back
// within a second, and the sensors' delay reads as slip between engine and wheels.
const spinning = 0.15

// holding leaves out of a mask what is within 0.2 s of spinning driven tyres.
func (f *frame) holding(mask []bool) []bool { return f.clear(mask, 0.2) }

// clear leaves out of a mask what is within some time, s, of spinning driven tyres.
func (f *frame) clear(mask []bool, within float64) []bool {
	near := int(within / cell)
	out, last := append([]bool(nil), mask...), -near-1
	for i, s := range f.slip {
		if s > spinning {
			for k := max(0, i-near); k < i; k++ {
				out[k] = false
			}
			last = i
		}
		if i-last <= near {
			out[i] = false
		}
	}
	return out
}

// alonePair is how far the wheels of one axle part on a first pass before it matters, 1: in the
// open logs they do by 1.1 % in health.
const alonePair = 0.012

// pairs compares the wheels of one axle.
func (w *watcher) pairs(cs []*dictionary.Channel, which string) {
	f := w.frame
	for k := 0; k+1 < len(cs); k += 2 {
		a, b := f.column(cs[k]), f.column(cs[k+1])
		y := apply(f.n, func(i int) float64 {
			if !(a[i] > 10) || !(b[i] > 10) {
				return nan()
			}
			return math.Log(a[i] / b[i])
		})
		mask := f.mask(func(i int) bool {
			return f.t[i] > f.launch+2 && f.t[i] < f.end && f.v[i] > 15 && (f.full[i] || which == "undriven")
		})
		if which == "driven" {
			mask = f.holding(mask)
		}
		small := 0.008
		if f.alone {
			small = alonePair
		}
		id := which + " pair"
		if k > 0 {
			id += " 2"
		}
		w.add(spec{
			id: id, wild: true, rough: 2, title: cs[k].Name + " against " + cs[k+1].Name, measure: ofShare,
			terms: []term{{"", 0, 0.008, 0.003}, {"v²", 0, 0.004, 0.002}, {"grip", 0, 0.01, 0.005}},
			noise: 0.003, corr: 0.3, small: small, visible: 0.01, shapes: slow,
			channels: names(cs[k], cs[k+1]), quantities: []string{"wheel_speed"},
		}, mask, y, nil, apply(f.n, func(i int) float64 { return f.v[i] * f.v[i] / 6400 }), apply(f.n, func(i int) float64 {
			if math.IsNaN(f.usedGrip[i]) {
				return f.a[i] / 10
			}
			return f.usedGrip[i]
		}))
	}
}

// pressed watches tyre pressures and temperatures where they are logged.
func (w *watcher) pressed() {
	f := w.frame
	run := f.mask(func(i int) bool { return f.t[i] > f.launch-5 && f.t[i] < f.end+3 })
	tenth := apply(f.n, func(i int) float64 { return max(f.t[i]-f.launch, 0) / 10 })
	// A tread that slides grows hot, and the air in the tyre with it.
	slid := f.sum(apply(f.n, func(i int) float64 {
		if !(f.slip[i] > spinning) || !(f.v[i] > 0) || f.t[i] < f.launch {
			return 0
		}
		return f.slip[i] * f.v[i] / 10
	}))
	for _, c := range f.lone(quantity.TyrePressure) {
		cold := 170e3
		if f.note != nil && f.note.ColdPressure > 0 {
			cold = f.note.ColdPressure
		} else if f.sheet.UsualColdPressure > 0 {
			cold = f.sheet.UsualColdPressure
		}
		w.add(spec{
			id: named("tyre pressure", c), title: c.Name + " over the cold setting", measure: ofPressure,
			terms: []term{{"", 5e3, 20e3, 6e3}, {"time", 5e3, 8e3, 3e3}, {"slid", 3e3, 5e3, 2e3}},
			noise: 1e3, corr: 1, small: 10e3, visible: 10e3, shapes: slow,
			channels: names(c), quantities: []string{"tyre_pressure"},
		}, run, scaled(f.column(c), cold, 1), nil, tenth, slid)
	}
}

// coast watches the driven wheels' rolling radius after the lift, where nothing
// slips: a soft tyre turns faster.
func (w *watcher) coast() {
	f := w.frame
	driven, _ := f.wheels()
	var cols [][]float64
	for _, c := range driven {
		cols = append(cols, f.column(c))
	}
	if len(cols) == 0 {
		return
	}
	wheel := meanOf(cols)
	y := apply(f.n, func(i int) float64 {
		if !(wheel[i] > 10) || !(f.v[i] > 15) {
			return nan()
		}
		return math.Log(wheel[i] / f.v[i])
	})
	brake := f.first(quantity.Brake)
	w.add(spec{
		id: "rolling radius", title: "driven wheels against road speed while coasting", measure: ofShare,
		terms: []term{{"", 0.01, 0.04, 0.004}, {"v²", -0.03, 0.04, 0.004}, {"deceleration", 0, 0.03, 0.006}},
		noise: 0.003, corr: 0.5, small: 0.008, visible: 0.01, shapes: slow,
		channels: names(driven...), quantities: []string{"wheel_speed", "motion"},
	}, f.mask(func(i int) bool {
		return f.t[i] > f.end+0.5 && f.throttle[i] < 0.05 && (brake == nil || !(brake[i] > 0.05))
	}), y, nil, apply(f.n, func(i int) float64 { return f.v[i] * f.v[i] / 6400 }), scaled(f.a, 0, 10))
}
