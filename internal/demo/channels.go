package demo

import (
	"fmt"
	"math/rand/v2"
)

// channel is one column of a log: what it senses, how badly, and how it prints.
type channel struct {
	q       string // quantity, as named in the truth
	dim     string // of what dimension: picks the unit
	get     func(*sample) float64
	rate    float64 // Hz
	lag     float64 // s
	delay   float64 // s
	noise   float64 // SI
	bias    float64
	scale   float64
	quantum float64
	circum  float64
	column  string
	unit    string
	special string  // "wheel", "gps", "gear", "accel", "lat", "knock"
	wheel   int     // 0 fl, 1 fr, 2 rl, 3 rr
	phase   float64 // s of its first reading after the log's first row
}

// rig builds the channels that a car's logger has, with the sensors' own
// errors, which stay the same for a whole season (the day seed of the car). The parts of the
// car draw their errors in turn from one stream: their order is part of every log.
func (c Car) rig(set string, own uint64, air Weather) []channel {
	g := rigging{r: stream(own, "sensors"), set: set, full: set == "full", sat: set == "satellite", p: c.p, pressure: air.Pressure}
	g.mid = g.full || set == "medium"
	g.engine()
	g.airPath()
	g.fluids()
	g.mixture()
	g.burning()
	g.motion()
	g.satellite()
	g.rest()
	return g.out
}

// rigging is a logger while its channels are chosen.
type rigging struct {
	r              *rand.Rand
	p              phys
	set            string // which sensors: "full", "medium", "poor", "satellite"
	full, mid, sat bool
	pressure       float64 // Pa, of the air
	out            []channel
}

// n draws a sensor's error of standard deviation sd, in its unit.
func (g *rigging) n(sd float64) float64 { return clamp(g.r.NormFloat64(), -2.2, 2.2) * sd }

func (g *rigging) add(ch channel) {
	if ch.scale == 0 {
		ch.scale = 1
	}
	g.out = append(g.out, ch)
}

// sensed reads a channel from what the simulation keeps.
func sensed(get func(*sample) float32) func(*sample) float64 {
	return func(s *sample) float64 { return float64(get(s)) }
}

// engine adds what every logger has of the engine.
func (g *rigging) engine() {
	g.add(channel{q: "rpm", dim: "rotation", get: sensed(func(s *sample) float32 { return s.wE }), rate: 100, lag: 0.004, noise: 5 * rpm, quantum: 1 * rpm})
	if !g.sat {
		g.add(channel{q: "throttle", dim: "share", get: sensed(func(s *sample) float32 { return s.throttle }), rate: 100, lag: 0.005, noise: 0.002, quantum: 0.001})
		g.add(channel{q: "map", dim: "pressure", get: sensed(func(s *sample) float32 { return s.pM }), rate: 100, lag: 0.007, noise: 800, bias: g.n(600), quantum: 100})
	} else {
		g.add(channel{q: "map", dim: "pressure", get: sensed(func(s *sample) float32 { return s.pM }), rate: 50, lag: 0.012, noise: 1000, bias: g.n(800), quantum: 200})
	}
}

// airPath adds pressures and temperatures along the air path.
func (g *rigging) airPath() {
	p0 := g.pressure
	if g.full {
		g.add(channel{q: "pedal", dim: "share", get: sensed(func(s *sample) float32 { return s.pedal }), rate: 50, lag: 0.004, noise: 0.002, quantum: 0.002})
		g.add(channel{q: "boost_target", dim: "gauge", get: sensed(func(s *sample) float32 { return s.target }), rate: 20, quantum: 500})
		g.add(channel{q: "lambda_target", dim: "lambda", get: sensed(func(s *sample) float32 { return s.lamTarget }), rate: 20, quantum: 0.001})
		g.add(channel{q: "exhaust_manifold_pressure", dim: "pressure", get: sensed(func(s *sample) float32 { return s.pE }), rate: 100, lag: 0.02, noise: 3000, scale: 1 + g.n(0.012), quantum: 500})
		g.add(channel{q: "barometer", dim: "baro", get: func(*sample) float64 { return p0 }, rate: 10, lag: 0.1, noise: 20, bias: g.n(60), quantum: 100})
		g.add(channel{q: "pre_throttle_pressure", dim: "pressure", get: sensed(func(s *sample) float32 { return s.pB }), rate: 50, lag: 0.01, noise: 900, bias: g.n(700), quantum: 200})
		g.add(channel{q: "compressor_inlet_pressure", dim: "pressure", get: sensed(func(s *sample) float32 { return s.p1 }), rate: 20, lag: 0.02, noise: 200, bias: g.n(200), quantum: 100})
	}
	g.add(channel{q: "intake_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tChg }), rate: 10, lag: 0.8, noise: 0.15, bias: g.n(0.8), quantum: 0.1})
	if g.full {
		g.add(channel{q: "compressor_out_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tComp }), rate: 10, lag: 1.1, noise: 0.2, bias: g.n(1), quantum: 0.1})
		g.add(channel{q: "cooler_water_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tCore }), rate: 5, lag: 1.5, noise: 0.1, bias: g.n(0.5), quantum: 0.1})
	}
}

// fluids adds coolant, oil and fuel.
func (g *rigging) fluids() {
	if !g.sat {
		g.add(channel{q: "coolant_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tCool }), rate: 10, lag: 2, noise: 0.1, quantum: 0.1})
	}
	if g.mid {
		g.add(channel{q: "coolant_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.pCool }), rate: 20, lag: 0.03, noise: 600, quantum: 500})
		g.add(channel{q: "oil_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.pOil }), rate: 50, lag: 0.02, noise: 3000, bias: g.n(4000), quantum: 1000})
		g.add(channel{q: "oil_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tOil }), rate: 10, lag: 2.5, noise: 0.1, quantum: 0.1})
		g.add(channel{q: "fuel_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.rail }), rate: 50, lag: 0.012, noise: 2800, bias: g.n(4000), quantum: 1000})
		if g.p.cyl == 5 || g.p.cyl == 6 {
			g.add(channel{q: "fuel_flow", dim: "flow", get: sensed(func(s *sample) float32 { return s.fuel }), rate: 50, lag: 0.03, noise: 0.0007, scale: 1 + g.n(0.012), quantum: 1e-5})
		} else {
			g.add(channel{q: "injector_duty", dim: "share", get: sensed(func(s *sample) float32 { return s.duty }), rate: 50, noise: 0.002, quantum: 0.001})
		}
	}
}

// mixture adds lambda and ignition.
func (g *rigging) mixture() {
	lamScale := 1 + g.n(0.006)
	lamDim := "lambda"
	if !g.sat {
		g.add(channel{q: "lambda_1", dim: lamDim, get: sensed(func(s *sample) float32 { return min(s.lam1, 1.6) }), rate: 50, lag: 0.06, delay: 0.05, noise: 0.003, scale: lamScale, quantum: 0.001})
		if g.mid && g.p.banks > 1 {
			g.add(channel{q: "lambda_2", dim: lamDim, get: sensed(func(s *sample) float32 { return min(s.lam2, 1.6) }), rate: 50, lag: 0.06, delay: 0.05, noise: 0.003, scale: lamScale, quantum: 0.001})
		}
		g.add(channel{q: "ignition_angle", dim: "angle", get: sensed(func(s *sample) float32 { return s.ign * deg }), rate: 50, quantum: 0.1 * deg})
	}
}

// burning adds knock and exhaust temperatures.
func (g *rigging) burning() {
	if g.mid {
		for k := 1; k <= min(2, 1+g.p.banks/2); k++ {
			g.add(channel{q: fmt.Sprintf("knock_%d", k), dim: "volt", special: "knock", rate: 100, lag: 0.004, noise: 0.012, quantum: 0.005})
		}
		eb := g.n(6)
		switch {
		case g.full:
			for k := range g.p.cyl {
				sp := g.p.egtSpread[k]
				first := k%2 == 0 // of the first bank or injector group
				cyl := k
				g.add(channel{q: fmt.Sprintf("egt_%d", k+1), dim: "temp", rate: 10, lag: 0.7, noise: 1.2, bias: eb + g.n(3), quantum: 0.5,
					get: func(s *sample) float64 { return float64(egt(s, first, cyl)) + sp }})
			}
		case g.p.banks > 1:
			g.add(channel{q: "egt_b1", dim: "temp", get: sensed(func(s *sample) float32 { return s.ex1 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
			g.add(channel{q: "egt_b2", dim: "temp", get: sensed(func(s *sample) float32 { return s.ex2 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
		default:
			g.add(channel{q: "egt_all", dim: "temp", get: sensed(func(s *sample) float32 { return (s.ex1 + s.ex2) / 2 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
		}
	}
}

// motion adds wheel speeds and accelerations.
func (g *rigging) motion() {
	if !g.sat {
		names := [4]string{"wheel_fl", "wheel_fr", "wheel_rl", "wheel_rr"}
		for w := range 4 {
			if g.set == "poor" && w%2 == 1 {
				continue
			}
			g.add(channel{q: names[w], dim: "speed", special: "wheel", wheel: w, rate: 100, scale: 1 + g.n(0.002), circum: g.p.setCircum})
		}
		g.add(channel{q: "accel_long", dim: "accel", special: "accel", rate: 100, lag: 0.009, noise: 0.06, bias: g.n(0.25), quantum: 0.01})
	}
	if g.full {
		g.add(channel{q: "accel_lat", dim: "accel", special: "lat", rate: 100, lag: 0.009, noise: 0.08, bias: g.n(0.25), quantum: 0.01})
	}
}

// satellite adds the satellite receiver.
func (g *rigging) satellite() {
	gr := 20.0
	if g.set == "poor" {
		gr = 10
	} else if g.full {
		gr = 25
	}
	late := 0.11 + 0.06*g.r.Float64()
	g.add(channel{q: "gps_speed", dim: "speed", special: "gps", rate: gr, lag: 0.05, delay: late, noise: 0.05, quantum: 0.01})
	g.add(channel{q: "gps_lat", dim: "geo", special: "gps", rate: gr, lag: 0.03, delay: late, quantum: 1e-7})
	g.add(channel{q: "gps_lon", dim: "geo", special: "gps", rate: gr, lag: 0.03, delay: late, quantum: 1e-7})
}

// rest adds turbo, actuators, nitrous, gear and supply.
func (g *rigging) rest() {
	if g.full {
		g.add(channel{q: "turbo_rpm", dim: "rotation", get: sensed(func(s *sample) float32 { return s.wT }), rate: 50, lag: 0.03, noise: 150 * rpm, quantum: 100 * rpm})
		g.add(channel{q: "crankcase_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.pCrank }), rate: 50, lag: 0.03, noise: 250, bias: g.n(150), quantum: 100})
		g.add(channel{q: "clutch_pedal", dim: "share", get: func(s *sample) float64 { return 1 - float64(s.clutch) }, rate: 50, noise: 0.004, quantum: 0.005})
		g.add(channel{q: "wastegate", dim: "share", get: sensed(func(s *sample) float32 { return s.gateDuty }), rate: 50, quantum: 0.001})
		g.add(channel{q: "torque_cut", dim: "share", get: sensed(func(s *sample) float32 { return s.cut }), rate: 50, quantum: 0.01})
		g.add(channel{q: "gearbox_temp", dim: "temp", get: sensed(func(s *sample) float32 { return s.tBox }), rate: 5, lag: 3, noise: 0.1, quantum: 0.1})
		g.add(channel{q: "fuel_trim_1", dim: "share", get: sensed(func(s *sample) float32 { return s.trim }), rate: 10, quantum: 0.001})
		if e := g.p.fuel.ethanol; e > 0 {
			g.add(channel{q: "ethanol_fraction", dim: "share", get: func(*sample) float64 { return e }, rate: 2, noise: 0.004, bias: g.n(0.008), quantum: 0.01})
		}
		g.add(channel{q: "tyre_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.pTyre }), rate: 1, lag: 0.5, noise: 300, quantum: 500})
	}
	if g.p.n2oFlow > 0 && g.mid {
		g.add(channel{q: "nitrous_on", dim: "flag", get: func(s *sample) float64 {
			if s.n2oOn {
				return 1
			}
			return 0
		}, rate: 50})
		g.add(channel{q: "bottle_pressure", dim: "gauge", get: sensed(func(s *sample) float32 { return s.bottle }), rate: 10, lag: 0.1, noise: 8e3, quantum: 1e4})
	}
	if g.mid {
		g.add(channel{q: "gear", dim: "gear", special: "gear", rate: 20, delay: 0.05, quantum: 1})
		g.add(channel{q: "battery_voltage", dim: "volt2", get: sensed(func(s *sample) float32 { return s.volts }), rate: 10, noise: 0.03, quantum: 0.02})
		g.add(channel{q: "brake", dim: "share", get: sensed(func(s *sample) float32 { return s.brake }), rate: 20, noise: 0.004, quantum: 0.005})
	}
}

// egt is the exhaust temperature at one cylinder: its bank's, and its own when
// it is the one that does not burn (always the first).
func egt(s *sample, first bool, cyl int) float32 {
	t := s.ex2
	if first {
		t = s.ex1
	}
	if cyl == 0 {
		t -= s.dead * 350
	}
	return t
}
