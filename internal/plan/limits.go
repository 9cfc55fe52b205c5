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

const (
	hardChance = 0.01  // of exceeding any hard limit
	spinTime   = 0.05  // s past the peak's slip that count as wheelspin
	cutShare   = 0.02  // of torque that electronics may take before it counts
	torqueStep = 0.05  // 1, beyond what was run
	speedStep  = 1.341 // m/s (3 mph) beyond the best pass
	modelReach = 1.25  // 1, of the highest manifold pressure run: beyond it the model is not believed
)

// gauge turns the model's flow, head and power into what a sheet limits: figures
// of the car's own logs. NaN where no channel shows it.
type gauge struct {
	duty    float64 // 1 per unit of flow
	back    float64 // 1 per unit of flow, ratio over 1
	turbo   float64 // rad/s per root of head
	exhaust float64 // K at the highest power run
	power   float64 // W, crank, highest run in the model
}

// calibrate reads the gauge from replays.
func calibrate(m *fitcar.Model) gauge {
	var duty, back, turbo, hot []float64
	g := gauge{exhaust: math.NaN()}
	for k := range m.Passes {
		car, p := m.Replay(&m.Mean, k)
		if car == nil || m.Passes[k].Weight < 0.5 {
			continue
		}
		r := sim.Runner{Car: car, Watch: true}
		res, err := r.Run(p)
		if err != nil {
			continue
		}
		for _, sg := range res.Gears {
			g.power = max(g.power, sg.MaxPower)
			for _, og := range m.Passes[k].Obs.Gears {
				if og.Gear != sg.Gear || sg.MaxFlow <= 0.2 {
					continue
				}
				add := func(dst *[]float64, x float64) {
					if !math.IsNaN(x) && x > 0 {
						*dst = append(*dst, x)
					}
				}
				add(&duty, og.Duty/sg.MaxFlow)
				add(&back, og.Back/sg.MaxFlow)
				if sg.MaxHead > 0.05 {
					add(&turbo, og.Turbo/math.Sqrt(sg.MaxHead))
				}
				add(&hot, og.Exhaust)
			}
		}
	}
	g.duty, g.back, g.turbo = high(duty), high(back), high(turbo)
	for _, h := range hot {
		if math.IsNaN(g.exhaust) || h > g.exhaust {
			g.exhaust = h
		}
	}
	return g
}

// high is the mean of the upper half: limits are met where things are worst. NaN of
// nothing.
func high(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := sorted(x)
	s = s[len(s)/2:]
	sum := 0.0
	for _, v := range s {
		sum += v
	}
	return sum / float64(len(s))
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
func (s *search) margins(res *sim.Result, add float64, stop float64, out []margin) []margin {
	l := &s.m.Sheet.Limits
	hard := func(gear int, name string, value, limit, blur float64) {
		if limit > 0 && !math.IsNaN(value) {
			out = append(out, margin{gear, name, Hard, 1 - value/limit, blur})
		}
	}
	top := res.Top
	for _, g := range res.Gears {
		hard(g.Gear, "boost", g.MaxBoost, l.MaxBoost, 0.015)
		if n := len(l.GearboxTorque); n > 0 {
			hard(g.Gear, "gearbox torque", g.MaxInput, l.GearboxTorque[min(g.Gear, n)-1], 0.03)
		}
		hard(g.Gear, "injectors", s.gauge.duty*g.MaxFlow, l.MaxInjectorDuty, 0.03)
		hard(g.Gear, "back pressure", s.gauge.back*g.MaxFlow, l.MaxBackPressureRatio, 0.05)
		hard(g.Gear, "turbo speed", s.gauge.turbo*math.Sqrt(max(0, g.MaxHead)), l.MaxTurboSpeed, 0.015)
		hard(g.Gear, "crank power", g.MaxPower, l.MaxCrankPower, 0.03)
		if s.gauge.power > 0 {
			hard(g.Gear, "exhaust temperature", s.gauge.exhaust+exhaustRise*max(0, g.MaxPower/s.gauge.power-1), l.MaxExhaustTemp, 0.012)
		}
	}
	hard(0, "tyre speed", (top+max(0, add))*(1+topSlip), l.TyreSpeed, 0.004)
	hard(0, "shut-down", stop, s.base.ShutDown, 0.02)
	return out
}

const (
	exhaustRise = 350.0 // K per doubling of power; common practice, no source
	topSlip     = 0.03  // 1, slip of the driven tyres at the top
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
