package plan

import (
	"fmt"
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// Classes of limits.
const (
	Soft = "soft"
	Hard = "hard"
)

// Names of the limits that a channel may show.
const (
	injectors    = "injectors"
	backPressure = "back pressure"
	turboSpeed   = "turbo speed"
	exhaustTemp  = "exhaust temperature"
)

// gripLimit is the soft limit of tyres that slip past their peak.
const gripLimit = "grip"

// torqueCut is the soft limit of electronics that act on slip.
const torqueCut = "torque cut"

// fuelSupply is the hard limit of the pump.
const fuelSupply = "fuel supply"

const (
	hardChance = 0.01  // of exceeding any hard limit
	spinTime   = 0.05  // s past the peak's slip that count as wheelspin
	cutShare   = 0.02  // of torque that electronics may take before it counts
	torqueStep = 0.05  // 1, beyond what was run
	speedStep  = 1.341 // m/s (3 mph) beyond the best pass
	modelReach = 1.25  // 1, of the highest manifold pressure run: beyond it the model is not believed
)

// margin is how far a pass stays below one limit, as a share of it, and the spread
// of what the model does not know about that figure.
type margin struct {
	gear  int // 0: the whole pass
	limit string
	class string
	value float64 // 1, share of the limit by which the pass stays below; negative beyond
	blur  float64 // 1
	held  *held   // of a limit that no channel shows; nil for the others
}

// margins judges one run against the sheet's hard limits.
func (s *search) margins(x settings, n *forecast.Next, by *gauge, car *sim.Car, res *sim.Result, add, stop float64) (out []margin) {
	l := &s.m.Sheet.Limits
	hard := func(gear int, name string, value, limit, blur float64) {
		if limit > 0 && !math.IsNaN(value) {
			out = append(out, margin{gear, name, Hard, 1 - value/limit, blur, nil})
		}
	}
	top := res.Top
	armed := func(gear int) bool { return x.nitrous && x.window.in(gear) && !by.fed[gear-1] }
	var gas, gasSD []float64
	if s.heat.known && l.MaxExhaustTemp > 0 {
		gas, gasSD = s.heat.hottest(car, n, res, s.missed.lasting)
	}
	for _, g := range res.Gears {
		over, swing := s.missed.over(&g, x.boost[g.Gear-1]+max(0, x.rises(g.Gear-1)), car.Boost.Over)
		hard(g.Gear, "boost", g.MaxBoost+over, l.MaxBoost, max(boostRepeats, swing/l.MaxBoost))
		if n := len(l.GearboxTorque); n > 0 {
			v, blur := by.input.pull(g.Gear, g.MaxInput, 0.025, inputDoubt)
			if math.IsNaN(v) {
				v, blur = g.MaxInput, 0.04
			}
			hard(g.Gear, "gearbox torque", v, l.GearboxTorque[min(g.Gear, n)-1], blur)
			if b := g.Bite.Torque; b > 0 {
				hard(g.Gear, clutchBite, b, l.GearboxTorque[min(g.Gear, n)-1], biteBlur)
			}
		}
		v, blur := by.duty.at(g.Gear, g.MaxFlow, 0.008, 0.10)
		hard(g.Gear, injectors, v, l.MaxInjectorDuty, blur)
		back := backOf(&by.car.Boost, &g)
		v, blur = by.back.at(g.Gear, back, 0.02, 0.30)
		if armed(g.Gear) {
			v, blur, back = v*nitrousBack, math.Hypot(blur, nitrousBackSD), back*nitrousBack
		}
		hard(g.Gear, backPressure, v, l.MaxBackPressureRatio, blur)
		speed := s.rotor.spiked(s.base.Air.Pressure, &g, over)
		gust := s.rotor.spiked(s.base.Air.Pressure, &g, over+swing)/max(speed, 1e-9) - 1
		v, blur = by.turbo.at(g.Gear, s.rotor.spiked(s.base.Air.Pressure, &g, 0), 0.006, speedDoubt)
		hard(g.Gear, turboSpeed, v, l.MaxTurboSpeed, math.Hypot(blur, gust))
		for _, q := range [...]struct {
			name                string
			figure, most, doubt float64
		}{{injectors, by.fuel(g.Gear, g.MaxFlow), 1, 0.10}, {backPressure, back, by.most.back, 0.30}, {turboSpeed, speed, by.most.speed, speedDoubt}} {
			if u, ok := s.unread[q.name]; ok && q.figure > 0 && q.most > 0 {
				rise := q.figure / q.most
				if q.name == backPressure && s.noMore(x, g.Gear) {
					// The manifold's pressure may fall by more than the turbine's: a ratio that
					// rises so strains nothing that was not run.
					rise = min(rise, 1)
				}
				mg := u.margin(g.Gear, q.name, rise, q.doubt)
				if q.name == turboSpeed {
					mg.blur = math.Hypot(mg.blur, gust)
				}
				out = append(out, mg)
			}
		}
		if u, ok := s.unread[fuelSupply]; ok {
			if fuel := by.fuel(g.Gear, g.MaxFlow); fuel > 0 {
				if x.rises(g.Gear-1) != 0 {
					g.FlowBoost = max(g.FlowBoost, g.MaxBoost) // the pump brings least where boost is highest, the flow hardly less
				}
				out = append(out, u.margin(g.Gear, fuelSupply, s.fed(&g, fuel), supplyDoubt))
			}
		}
		hard(g.Gear, "crank power", g.MaxPower, l.MaxCrankPower, crankBlur)
		if gas != nil {
			if armed(g.Gear) { // it opens where boost is low, before the pull's hottest
				gas[g.Gear-1] += nitrousHeat
				gasSD[g.Gear-1] = math.Hypot(gasSD[g.Gear-1], nitrousHeatSD)
			}
			hard(g.Gear, exhaustTemp, gas[g.Gear-1], l.MaxExhaustTemp, gasSD[g.Gear-1]/l.MaxExhaustTemp)
		} else if _, ok := s.unread[exhaustTemp]; ok {
			if q, ok := s.unreadHeat(&g, by.peak[g.Gear-1], x.nitrous && x.window.in(g.Gear)); ok {
				out = append(out, q)
			}
		} else if v, sd := by.hotter(&g, armed(g.Gear)); l.MaxExhaustTemp > 0 {
			hard(g.Gear, exhaustTemp, v, l.MaxExhaustTemp, sd/l.MaxExhaustTemp)
		}
	}
	hard(0, "tyre speed", (top+max(0, add))*(1+topSlip), l.TyreSpeed, 0.004)
	hard(0, shutDown, s.stopping(top+max(0, add), stop), s.base.ShutDown, 0.02)
	return out
}

// boostRepeats is the least spread of a boost peak from pass to pass, 1; common practice,
// no source.
const boostRepeats = 0.01

// inputDoubt is the share of a change of gearbox torque that may be wrong, 1: its peak just after a
// shift, when charge and turbine inlet are still cool, grows more than the pull, which the model has.
const inputDoubt = 0.30

// speedDoubt is the share of a change of rotor speed that may be wrong, 1: see rotor.
const speedDoubt = 0.07

// crankBlur is the spread of the model's crank power beyond that of the ensemble, 1, which
// has mass, drag, losses and wind: torque's scatter over its table.
const crankBlur = 0.015

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
			out = append(out, fmt.Sprintf("the last pass was over the limit already: %s in gear %d, %.0f %s of %.0f", what, gear, value*scale, unit, limit*scale))
		}
	}
	for _, g := range o.Gears {
		over(g.Gear, "injector duty", g.Duty, l.MaxInjectorDuty, "%", 100)
		over(g.Gear, "back-pressure ratio", g.Back, l.MaxBackPressureRatio, "%", 100)
		over(g.Gear, "turbo speed", g.Turbo, l.MaxTurboSpeed, "rpm", 30/math.Pi)
		if l.MaxExhaustTemp > 0 && g.Exhaust > l.MaxExhaustTemp {
			out = append(out, fmt.Sprintf("the last pass was over the limit already: exhaust temperature in gear %d, %.0f °C of %.0f", g.Gear, g.Exhaust-273.15, l.MaxExhaustTemp-273.15))
		}
		if v := loadedLambda(o, g.Gear); l.MaxLambda > 0 && v > l.MaxLambda {
			out = append(out, fmt.Sprintf("the last pass was over the limit already: lambda in gear %d, %.2f of %.2f at full load: mend the mixture before boost is raised", g.Gear, v, l.MaxLambda))
		}
		if n := len(l.GearboxTorque); n > 0 && g.Gear >= 1 {
			over(g.Gear, "gearbox torque", g.Input, l.GearboxTorque[min(g.Gear, n)-1], "N·m", 1)
		}
	}
	return out
}
