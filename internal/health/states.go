package health

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Standard conditions, for what nobody measured.
const (
	standardPressure    = 101325.0 // Pa
	standardTemperature = 293.15   // K
	gasConstantAir      = 287.05   // J/(kg·K)
)

func (f *frame) fromMotion() {
	p := f.pass
	f.v, f.a = f.onMotion(p.Motion.V), f.onMotion(p.Motion.A)
	f.gear = make([]int, f.n)
	f.since = filled(f.n, nan())
	for _, g := range p.Gears {
		for i, t := range f.t {
			if t >= g.Start && t < g.End {
				f.gear[i], f.since[i] = g.Gear, t-g.Start
			}
		}
	}
	f.slip = filled(f.n, nan())
	f.tyreForce, f.usedGrip = filled(f.n, nan()), filled(f.n, nan())
	if q := p.Force; q != nil {
		f.slip = f.onMotion(q.Slip)
		f.tyreForce = f.onMotion(q.TyreForce)
		load := f.onMotion(q.DrivenLoad)
		for i := range f.usedGrip {
			if load[i] > 0 {
				f.usedGrip[i] = f.tyreForce[i] / load[i]
			}
		}
	}
}

func (f *frame) fromEngine() {
	f.baro, f.baroKnown = f.barometer()
	f.ambient = standardTemperature
	if a := f.pass.Air; a != nil && a.Temperature > 0 && a.Source != "assumed" {
		f.ambient, f.ambientKnown = a.Temperature, true
	} else if f.note != nil && f.note.Weather.AirTemp > 0 {
		f.ambient, f.ambientKnown = f.note.Weather.AirTemp, true
	}
	f.speed = f.first(quantity.EngineSpeed)
	if f.speed == nil {
		f.speed = filled(f.n, nan())
	}
	f.nref = f.sheet.RevLimit
	if f.nref == 0 {
		top := 0.0
		for _, v := range f.speed {
			if v > top {
				top = v
			}
		}
		f.nref = max(top, 400)
	}
	f.throttle = f.first(quantity.Throttle)
	if f.throttle == nil {
		if f.throttle = f.first(quantity.Pedal); f.throttle == nil {
			f.throttle = filled(f.n, nan())
		}
	}
	f.boost = filled(f.n, nan())
	if m := f.first(quantity.ManifoldPressure); m != nil {
		for i, v := range m {
			f.boost[i] = v - f.baro
		}
	}
	f.boostRate = rate(f.boost, 4)
	f.charge = f.first(quantity.ChargeTemperature)
	if f.charge == nil {
		f.charge = f.first(quantity.IntakeTemperature)
	}
	if f.charge == nil {
		f.charge, f.chargeSupposed = filled(f.n, f.ambient+20), true
	}
	f.nitrous = f.first(quantity.Nitrous)
	if f.nitrous == nil {
		f.nitrous = make([]float64, f.n)
	}
	for i, v := range f.nitrous {
		if math.IsNaN(v) {
			f.nitrous[i] = 0
		}
	}
}

// barometer is the log's own, else the crew's, else the reading of an absolute
// manifold sensor is of no help while the engine turns, and the standard is
// taken.
func (f *frame) barometer() (pa float64, known bool) {
	if c := f.set.First(quantity.BarometricPressure); c != nil {
		m := stats.Median(c.Trace.V)
		if m > 60e3 && m < 110e3 {
			return m, true
		}
	}
	if f.note != nil && f.note.Weather.Pressure > 0 {
		return f.note.Weather.Pressure, true
	}
	if a := f.pass.Air; a != nil && a.Pressure > 0 {
		return a.Pressure, a.Source != "assumed"
	}
	return standardPressure, false
}

// What falls by fallsInShift of the highest engine speed of the last shiftSeen seconds has been
// shifted up, or its tyres have caught hold: either begins a stretch of its own.
const (
	fallsInShift = 0.07 // 1
	shiftSeen    = 0.4  // s
)

// gearless numbers the stretches of open throttle where the gears are not known,
// for want of ratios in the sheet: what the engine does between two shifts, told by a
// throttle that closes or an engine speed that falls, is compared as what it does in a gear.
func (f *frame) gearless() {
	f.noGears = len(f.pass.Gears) == 0
	if !f.noGears {
		return
	}
	n, from := 0, nan()
	back := int(shiftSeen / cell)
	for i, t := range f.t {
		top := 0.0
		for k := max(0, i-back); k < i; k++ {
			if f.speed[k] > top {
				top = f.speed[k]
			}
		}
		if t < f.launch || t > f.end || !(f.throttle[i] > 0.9) || f.speed[i] < (1-fallsInShift)*top {
			from = nan()
			continue
		}
		if math.IsNaN(from) {
			n, from = n+1, t
		}
		f.gear[i], f.since[i] = n, t-from
	}
}

func (f *frame) states() {
	f.gearless()
	f.again, f.cut, f.raced = make([]bool, f.n), make([]bool, f.n), make([]bool, f.n)
	f.full, f.power, f.idle, f.running = make([]bool, f.n), make([]bool, f.n), make([]bool, f.n), make([]bool, f.n)
	var throttleFull []float64
	if q := f.pass.Force; q != nil && len(q.FullThrottle) > 0 {
		x := make([]float64, len(q.FullThrottle))
		for i, b := range q.FullThrottle {
			if b {
				x[i] = 1
			}
		}
		throttleFull = f.onMotion(x)
	}
	for i, t := range f.t {
		n, th := f.speed[i], f.throttle[i]
		f.running[i] = n > 40 || math.IsNaN(n)
		open := th > 0.9
		if throttleFull != nil {
			open = throttleFull[i] > 0.99
		}
		inPass := t > f.launch+0.3 && t < f.end-0.05
		f.full[i] = open && inPass && f.gear[i] > 0 && f.since[i] > 0.25 && f.locked(i)
		f.power[i] = th > 0.5 && t > f.launch-0.5 && t < f.end-0.05
		f.idle[i] = t < f.launch-0.5 && th < 0.05 && n > 40 && n < 0.3*f.nref && !(f.v[i] > 0.3)
	}
	f.reopened()
	f.limited()
	f.racing()
	// Nothing is judged in the last moments before a shift or a lift, where the
	// throttle is on its way.
	for i := f.n - 1; i >= 0; i-- {
		if f.full[i] && (i+5 >= f.n || f.gear[i+5] != f.gear[i] || f.throttle[i+5] < 0.85) {
			f.full[i] = false
		}
	}
	f.halting = f.halts()
	var ns []float64
	for i, on := range f.idle {
		if on {
			ns = append(ns, f.speed[i])
		}
	}
	f.idleSpeed = nan()
	if len(ns) > 25 {
		f.idleSpeed = stats.Median(ns)
	}
}

// locked says that the engine turns with the road, allowing for tyre slip: the
// launch's clutch slip is no state to compare.
func (f *frame) locked(i int) bool {
	g := f.gear[i]
	r := f.sheet.TyreRadius.Value
	if g != 1 || g > len(f.sheet.Gears) || f.sheet.FinalDrive == 0 || r == 0 || math.IsNaN(f.v[i]) {
		return true
	}
	q := f.speed[i] * r / (f.sheet.Gears[g-1] * f.sheet.FinalDrive * max(f.v[i], 1))
	return q < 1.35
}

func (f *frame) derived() {
	f.target = filled(f.n, nan())
	if c := f.first(quantity.BoostTarget); c != nil {
		copy(f.target, c)
	} else if f.note != nil && len(f.note.BoostTarget) > 0 && !f.noGears {
		for i, g := range f.gear {
			if g >= 1 && g <= len(f.note.BoostTarget) {
				f.target[i] = f.note.BoostTarget[g-1]
			}
		}
	}
	f.supposeNitrous()
	f.leaveOutSwitching()
	f.air = apply(f.n, func(i int) float64 {
		p := f.boost[i] + f.baro
		if !(p > 0) {
			return nan()
		}
		return f.speed[i] / f.nref * p / 300e3 * 320 / f.charge[i]
	})
	f.crank = filled(f.n, nan())
	if q := f.pass.Force; q != nil && len(q.HubTorque) > 0 {
		hub := f.onMotion(q.HubTorque)
		acc := rate(f.speed, 5)
		for i, g := range f.gear {
			if g < 1 || g > len(f.sheet.Gears) || f.sheet.FinalDrive == 0 {
				continue
			}
			ratio := f.sheet.Gears[g-1] * f.sheet.FinalDrive
			f.crank[i] = hub[i]/ratio/(1-f.sheet.LossShare.Value) + f.sheet.EngineInertia.Value*acc[i]
		}
	}
}
