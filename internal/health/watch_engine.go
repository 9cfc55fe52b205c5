package health

import (
	"math"

	"traplight/internal/num/changepoint"
	"traplight/internal/quantity"
)

type shape = changepoint.Shape

// Shapes for pressures that follow the boost, and for heat that builds up.
var (
	bySqueeze = shape{ByLoad: true, Rise: 0.5}
	growing   = shape{ByLoad: true}
)

// knocking watches knock levels and the ignition angle.
func (w *watcher) knocking() {
	f := w.frame
	n, b := f.normal(), f.bar()
	mask := f.mask(func(i int) bool { return f.full[i] && f.since[i] > 0.3 && f.t[i] > f.launch+2.5 })
	for _, c := range f.lone(quantity.Knock) {
		x := f.column(c)
		y := apply(f.n, func(i int) float64 {
			if !(x[i] > 0) {
				return nan()
			}
			return math.Log(x[i])
		})
		w.add(spec{
			id: named("knock level", c), wild: true, least: 1.3, title: c.Name + " for the engine speed", measure: ofShare,
			terms: []term{{"", 0, 4, 0.12}, {"speed", 1, 2, 0.1}, {"speed²", 0, 1.5, 0.1}, {"boost", 0.05, 0.2, 0.03}},
			noise: 0.06, corr: 0.1, small: 0.25, visible: 0.3, shapes: usual,
			channels: names(c), quantities: []string{"knock"},
		}, mask, y, nil, n, square(n), b)
	}
	if c := f.set.First(quantity.IgnitionAngle); c != nil {
		// A computer that lives at the edge of knock takes a degree away and gives it
		// back the whole pass through: 1.5 degrees are what matters.
		w.add(spec{
			id: "ignition", wild: true, least: 1.6, spell: 0.0087, rough: 3, title: "ignition angle for speed and boost", measure: ofAngle,
			terms: []term{{"", 0.35, 0.2, 0.004}, {"speed", 0.05, 0.2, 0.008}, {"boost", -0.05, 0.06, 0.004}, {"boost²", 0, 0.02, 0.002}, {"charge temperature", 0, 0.01, 0.003}, {"nitrous", -0.1, 0.15, 0.04}, {"speed²", 0, 0.2, 0.008}, {"speed and boost", 0, 0.06, 0.004}},
			noise: 0.004, corr: 0.3, small: 0.026, visible: 0.026, shapes: usual,
			channels: names(c), quantities: []string{"ignition_angle"},
		}, f.fullAfter(0.4), f.column(c), nil, n, b, square(b), scaled(f.charge, 320, 10), f.nitrous, square(n), times(n, b))
	}
	w.throttled()
}

// throttled watches the throttle in the time in which it ought to be open: from
// shift to shift, as the gears tell. A driver who lifts because the tyres spin is
// no fault: closings that follow wheelspin, or in the first seconds, are left out
// where no pedal channel tells.
func (w *watcher) throttled() {
	f := w.frame
	c := f.set.First(quantity.Throttle)
	if c == nil {
		return
	}
	pedal := f.first(quantity.Pedal)
	x := f.column(c)
	mask := f.mask(func(i int) bool {
		if pedal != nil && !(pedal[i] > 0.95) {
			return false
		}
		return f.gear[i] > 0 && f.since[i] > 0.3 && f.t[i] > f.launch+1 && f.t[i] < f.end-0.15
	})
	// The last 0.3 s of a gear belong to the shift.
	for i := range mask {
		if j := i + 15; mask[i] && (j >= f.n || f.gear[j] != f.gear[i]) {
			mask[i] = false
		}
	}
	if pedal == nil {
		f.leaveOutLifts(mask, x)
	}
	w.add(spec{
		id: "throttle", title: "throttle opening at full demand", measure: ofShare,
		terms: []term{{"", 0.99, 0.03, 0.004}},
		noise: 0.004, corr: 0.2, small: 0.02, visible: 0.03, shapes: usual,
		channels: names(c), quantities: []string{"throttle"},
	}, mask, x, nil)
}

// shiftLongest is how long, s, a throttle may be shut for a shift, a missed one included.
const shiftLongest = 1.5

// leaveOutLifts takes from the mask every closing that a driver would make.
func (f *frame) leaveOutLifts(mask []bool, x []float64) {
	for i := 0; i < f.n; i++ {
		if !mask[i] || x[i] > 0.9 {
			continue
		}
		j := i
		for j < f.n && mask[j] && !(x[j] > 0.9) {
			j++
		}
		shut, open := 1.0, i
		for ; open < f.n && !(x[open] > 0.9); open++ {
			shut = min(shut, x[open])
		}
		// Shut and open again within a shift's time: a shift that was missed, or a pedalled
		// throttle; nobody can tell it from a plate that does so by itself.
		shift := shut < 0.2 && open < f.n && float64(open-i)*cell < shiftLongest
		if f.gear[i] == 1 && f.t[i] < f.launch+4 {
			shift = true
		}
		// Who lifts because the tyres spin opens again once they hold.
		until := math.Inf(-1)
		for k := max(0, i-25); k < j+5 && k < f.n; k++ {
			if f.slip[k] > 0.12 && (k < i+5 || f.t[k] < until) {
				until = f.t[k] + shiftLongest
			}
		}
		for k := max(0, i-10); k < j+10 && k < f.n; k++ {
			if shift || f.t[k] < until {
				mask[k] = false
			}
		}
		i = j
	}
}

// electric watches the battery's voltage.
func (w *watcher) electric() {
	f := w.frame
	c := f.set.First(quantity.BatteryVoltage)
	if c == nil {
		return
	}
	n := f.normal()
	w.add(spec{
		id: "voltage", wild: true, rough: 2.5, title: "battery voltage", measure: ofVoltage,
		terms: []term{{"", 13.6, 0.5, 0.1}, {"speed", 0.2, 0.5, 0.1}, {"air", 0, 0.4, 0.08}},
		noise: 0.05, corr: 0.3, small: 0.35, visible: 0.4, shapes: usual,
		channels: names(c), quantities: []string{"battery_voltage"},
	}, f.mask(func(i int) bool { return f.running[i] && f.t[i] > f.launch-4 && f.t[i] < f.end+2 }), f.column(c), nil, n, apply(f.n, func(i int) float64 {
		if f.throttle[i] > 0.5 && !math.IsNaN(f.air[i]) {
			return f.air[i]
		}
		return 0
	}))
}

// agreement compares sensors that measure the same thing, so that one that has
// gone wrong is known as such.
func (w *watcher) agreement() {
	f := w.frame
	moving := f.mask(func(i int) bool { return f.t[i] > f.launch+2 && f.t[i] < f.end+3 && f.v[i] > 15 })
	_, undriven := f.wheels()
	for _, c := range undriven {
		x := f.column(c)
		w.add(spec{
			id: "wheel " + string(c.Quantity), title: c.Name + " against the car's speed", measure: ofShare,
			terms: []term{{"", 0, 0.02, 0.003}, {"v²", 0, 0.006, 0.002}},
			noise: 0.003, corr: 0.5, small: 0.01, visible: 0.012, shapes: usual,
			channels: names(c), quantities: []string{string(c.Quantity), "motion"},
		}, moving, apply(f.n, func(i int) float64 {
			if !(x[i] > 5) {
				return nan()
			}
			return math.Log(x[i] / f.v[i])
		}), nil, apply(f.n, func(i int) float64 { return f.v[i] * f.v[i] / 6400 }))
	}
}
