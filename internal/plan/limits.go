package plan

import (
	"fmt"
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// Classes of limits.
const (
	Soft = "soft"
	Hard = "hard"
)

// torqueCut is the soft limit of electronics that act on slip.
const torqueCut = "torque cut"

const (
	hardChance     = 0.01  // of exceeding any hard limit
	spinTime       = 0.05  // s past the peak's slip that count as wheelspin
	cutShare       = 0.02  // of torque that electronics may take before it counts
	torqueStep     = 0.05  // 1, beyond what was run
	speedStep      = 1.341 // m/s (3 mph) beyond the best pass
	unguardedReach = 1.08  // 1, the same where a stated limit is not read in the logs
	modelReach     = 1.25  // 1, of the highest manifold pressure run: beyond it the model is not believed
)

// gauge turns the model's flow, head, power and torque into what a sheet limits, by
// the car's own logs: what was read in a gear, and what the model had there.
type gauge struct {
	duty, back, turbo, input, exhaust meter
	fed                               []bool // by gear: nitrous was on when the exhaust was read hottest
}

// meter is one reading of the logs against the model's figure for it, by gear (from
// 0). NaN where no channel shows it.
type meter struct {
	read  []float64 // own unit, highest reading in the gear
	model []float64 // own unit of the model's figure, highest in the gear
}

func newMeter(gears int) meter {
	m := meter{make([]float64, gears), make([]float64, gears)}
	for i := range m.read {
		m.read[i], m.model[i] = math.NaN(), math.NaN()
	}
	return m
}

// see takes a reading and tells whether it counts.
func (m *meter) see(gear int, read, model float64) bool {
	if gear < 1 || gear > len(m.read) || math.IsNaN(read) || read <= 0 || !(model > 0) {
		return false
	}
	// of several passes the one nearest to the limit counts
	if i := gear - 1; math.IsNaN(m.read[i]) || read > m.read[i] {
		m.read[i], m.model[i] = read, model
		return true
	}
	return false
}

// known tells whether any gear was read.
func (m *meter) known() bool {
	for _, v := range m.read {
		if !math.IsNaN(v) {
			return true
		}
	}
	return false
}

// at predicts the reading in a gear (from 1) for the model's figure, by proportion,
// and how far off that may be, as a share: readings repeat within base where nothing is
// changed, and doubt is the share of every change that may be wrong. NaN when nothing
// was read.
func (m *meter) at(gear int, model, base, doubt float64) (value, blur float64) {
	i := gear - 1
	if i >= len(m.read) || math.IsNaN(m.read[i]) {
		// the mean ratio of the gears that were read, doubted more
		return m.mean() * model, 0.04
	}
	change := model/m.model[i] - 1
	if change < 0 {
		doubt *= 0.3 // below what was run the reading is bounded by it
	}
	return m.read[i] * (1 + change), math.Hypot(base, doubt*change)
}

// mean is the mean of reading over model, 1; NaN when nothing was read.
func (m *meter) mean() float64 {
	sum, n := 0.0, 0.0
	for k, r := range m.read {
		if !math.IsNaN(r) {
			sum, n = sum+r/m.model[k], n+1
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / n
}

// peak is at for a reading that is a short peak: where one gear's was missed by the
// log's rate, the mean of the gears stands for it.
func (m *meter) peak(gear int, model, base, doubt float64) (value, blur float64) {
	value, blur = m.at(gear, model, base, doubt)
	if r := m.mean(); r*model > value {
		value = r * model
	}
	return value, blur
}

// calibrate reads the gauge from replays.
func calibrate(m *fitcar.Model) gauge {
	n := len(m.Mean.Car.Ratios)
	g := gauge{newMeter(n), newMeter(n), newMeter(n), newMeter(n), newMeter(n), make([]bool, n)}
	for k := range m.Passes {
		car, p := m.Replay(&m.Mean, k)
		if car == nil || m.Passes[k].Weight < 0.5 {
			continue
		}
		r := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
		res, err := r.Run(p)
		if err != nil {
			continue
		}
		for _, sg := range res.Gears {
			for _, og := range m.Passes[k].Obs.Gears {
				if og.Gear != sg.Gear {
					continue
				}
				g.duty.see(og.Gear, og.Duty, sg.MaxFlow)
				g.back.see(og.Gear, og.Back, backOf(&m.Mean.Car.Boost, &sg))
				g.turbo.see(og.Gear, og.Turbo, math.Sqrt(max(0, sg.MaxHead)))
				g.input.see(og.Gear, og.Input, sg.MaxInput)
				if g.exhaust.see(og.Gear, og.Exhaust, sg.MaxPower) {
					g.fed[og.Gear-1] = p.Nitrous && car.Nitrous.In(og.Gear, p.Start.Gear)
				}
			}
		}
	}
	return g
}

// margin is how far a pass stays below one limit, as a share of it, and the spread
// of what the model does not know about that figure.
type margin struct {
	gear  int // 0: the whole pass
	limit string
	class string
	value float64 // 1, share of the limit by which the pass stays below; negative beyond
	blur  float64 // 1
}

// margins judges one run against the sheet's hard limits.
func (s *search) margins(x settings, res *sim.Result, add float64, stop float64, out []margin) []margin {
	l := &s.m.Sheet.Limits
	hard := func(gear int, name string, value, limit, blur float64) {
		if limit > 0 && !math.IsNaN(value) {
			out = append(out, margin{gear, name, Hard, 1 - value/limit, blur})
		}
	}
	top := res.Top
	armed := func(gear int) bool { return x.nitrous && x.window.in(gear) && !s.gauge.fed[gear-1] }
	for _, g := range res.Gears {
		hard(g.Gear, "boost", g.MaxBoost, l.MaxBoost, 0.01)
		if n := len(l.GearboxTorque); n > 0 {
			v, blur := s.gauge.input.peak(g.Gear, g.MaxInput, 0.025, 0.12)
			if math.IsNaN(v) {
				v, blur = g.MaxInput, 0.04
			}
			hard(g.Gear, "gearbox torque", v, l.GearboxTorque[min(g.Gear, n)-1], blur)
			if b := g.Bite.Torque; b > 0 {
				hard(g.Gear, clutchBite, b, l.GearboxTorque[min(g.Gear, n)-1], biteBlur)
			}
		}
		v, blur := s.gauge.duty.at(g.Gear, g.MaxFlow, 0.008, 0.10)
		hard(g.Gear, "injectors", v, l.MaxInjectorDuty, blur)
		v, blur = s.gauge.back.at(g.Gear, backOf(&s.m.Mean.Car.Boost, &g), 0.02, 0.30)
		if armed(g.Gear) {
			v, blur = v*nitrousBack, math.Hypot(blur, nitrousBackSD)
		}
		hard(g.Gear, "back pressure", v, l.MaxBackPressureRatio, blur)
		v, blur = s.gauge.turbo.at(g.Gear, math.Sqrt(max(0, g.MaxHead)), 0.006, 0.10)
		hard(g.Gear, "turbo speed", v, l.MaxTurboSpeed, blur)
		hard(g.Gear, "crank power", g.MaxPower, l.MaxCrankPower, 0.03)
		// gas gets hotter by far less than in proportion to power
		if read, was := s.gauge.exhaust.read[g.Gear-1], s.gauge.exhaust.model[g.Gear-1]; !math.IsNaN(read) {
			double := math.Log2(max(0.1, g.MaxPower/was))
			rise, sd := exhaustRise*double, math.Hypot(exhaustRepeat, exhaustSD*double)
			if double < 0 {
				// less power is not hotter; it is counted on for little
				rise, sd = exhaustFall*double, exhaustRepeat
			}
			if !s.gauge.fed[g.Gear-1] && armed(g.Gear) {
				rise, sd = rise+nitrousHeat, math.Hypot(sd, nitrousHeatSD)
			}
			hard(g.Gear, "exhaust temperature", read+rise, l.MaxExhaustTemp, sd/l.MaxExhaustTemp)
		}
	}
	hard(0, "tyre speed", (top+max(0, add))*(1+topSlip), l.TyreSpeed, 0.004)
	hard(0, shutDown, s.stopping(top+max(0, add), stop), s.base.ShutDown, 0.02)
	return out
}

const (
	// Gas gets hotter with power: less of the heat is lost to the walls, the spark is
	// later; and with nitrous. Common practice, no source.
	exhaustRise   = 200.0 // K per doubling of power
	exhaustSD     = 110.0 // K per doubling
	exhaustFall   = 150.0 // K per halving, at least
	exhaustRepeat = 6.0   // K from pass to pass
	nitrousHeat   = 100.0 // K
	nitrousHeatSD = 40.0  // K
	nitrousBack   = 1.06  // 1, back-pressure ratio with nitrous over that without
	nitrousBackSD = 0.03  // 1
	topSlip       = 0.03  // 1, slip of the driven tyres at the top
)

// standing tells what the car exceeds already, by its own logs.
func standing(m *fitcar.Model) []string {
	l := &m.Sheet.Limits
	o := m.Passes[len(m.Passes)-1].Obs
	var out []string
	over := func(gear int, what string, value, limit float64, unit string, scale float64) {
		if limit > 0 && value > limit {
			out = append(out, fmt.Sprintf("the last pass was over the limit already: %s in %d, %.0f %s of %.0f", what, gear, value*scale, unit, limit*scale))
		}
	}
	for _, g := range o.Gears {
		over(g.Gear, "injector duty", g.Duty, l.MaxInjectorDuty, "%", 100)
		over(g.Gear, "back-pressure ratio", g.Back, l.MaxBackPressureRatio, "%", 100)
		over(g.Gear, "turbo speed", g.Turbo, l.MaxTurboSpeed, "rpm", 30/math.Pi)
		if l.MaxExhaustTemp > 0 && g.Exhaust > l.MaxExhaustTemp {
			out = append(out, fmt.Sprintf("the last pass was over the limit already: exhaust temperature in %d, %.0f °C of %.0f", g.Gear, g.Exhaust-273.15, l.MaxExhaustTemp-273.15))
		}
		if n := len(l.GearboxTorque); n > 0 && g.Gear >= 1 {
			over(g.Gear, "gearbox torque", g.Input, l.GearboxTorque[min(g.Gear, n)-1], "N·m", 1)
		}
	}
	return out
}
