package demo

import (
	"fmt"
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
// errors, which stay the same for a whole season (the day seed of the car).
func (c Car) rig(set string, own uint64, air Weather) []channel {
	r := stream(own, "sensors")
	n := func(sd float64) float64 { return clamp(r.NormFloat64(), -2.2, 2.2) * sd }
	p0 := air.Pressure
	var out []channel
	add := func(ch channel) {
		if ch.scale == 0 {
			ch.scale = 1
		}
		out = append(out, ch)
	}
	f := func(g func(*sample) float32) func(*sample) float64 {
		return func(s *sample) float64 { return float64(g(s)) }
	}
	full := set == "full"
	mid := full || set == "medium"
	sat := set == "satellite"
	add(channel{q: "rpm", dim: "rotation", get: f(func(s *sample) float32 { return s.wE }), rate: 100, lag: 0.004, noise: 5 * rpm, quantum: 1 * rpm})
	if !sat {
		add(channel{q: "throttle", dim: "share", get: f(func(s *sample) float32 { return s.throttle }), rate: 100, lag: 0.005, noise: 0.002, quantum: 0.001})
		add(channel{q: "map", dim: "pressure", get: f(func(s *sample) float32 { return s.pM }), rate: 100, lag: 0.007, noise: 800, bias: n(600), quantum: 100})
	} else {
		add(channel{q: "map", dim: "pressure", get: f(func(s *sample) float32 { return s.pM }), rate: 50, lag: 0.012, noise: 1000, bias: n(800), quantum: 200})
	}
	if full {
		add(channel{q: "pedal", dim: "share", get: f(func(s *sample) float32 { return s.pedal }), rate: 50, lag: 0.004, noise: 0.002, quantum: 0.002})
		add(channel{q: "boost_target", dim: "gauge", get: f(func(s *sample) float32 { return s.target }), rate: 20, quantum: 500})
		add(channel{q: "lambda_target", dim: "lambda", get: f(func(s *sample) float32 { return s.lamTarget }), rate: 20, quantum: 0.001})
		add(channel{q: "exhaust_manifold_pressure", dim: "pressure", get: f(func(s *sample) float32 { return s.pE }), rate: 100, lag: 0.02, noise: 3000, scale: 1 + n(0.012), quantum: 500})
		add(channel{q: "barometer", dim: "baro", get: func(*sample) float64 { return p0 }, rate: 10, lag: 0.1, noise: 20, bias: n(60), quantum: 100})
		add(channel{q: "pre_throttle_pressure", dim: "pressure", get: f(func(s *sample) float32 { return s.pB }), rate: 50, lag: 0.01, noise: 900, bias: n(700), quantum: 200})
		add(channel{q: "compressor_inlet_pressure", dim: "pressure", get: f(func(s *sample) float32 { return s.p1 }), rate: 20, lag: 0.02, noise: 200, bias: n(200), quantum: 100})
	}
	add(channel{q: "intake_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tChg }), rate: 10, lag: 0.8, noise: 0.15, bias: n(0.8), quantum: 0.1})
	if full {
		add(channel{q: "compressor_out_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tComp }), rate: 10, lag: 1.1, noise: 0.2, bias: n(1), quantum: 0.1})
		add(channel{q: "cooler_water_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tCore }), rate: 5, lag: 1.5, noise: 0.1, bias: n(0.5), quantum: 0.1})
	}
	if !sat {
		add(channel{q: "coolant_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tCool }), rate: 10, lag: 2, noise: 0.1, quantum: 0.1})
	}
	if mid {
		add(channel{q: "coolant_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.pCool }), rate: 20, lag: 0.03, noise: 600, quantum: 500})
		add(channel{q: "oil_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.pOil }), rate: 50, lag: 0.02, noise: 3000, bias: n(4000), quantum: 1000})
		add(channel{q: "oil_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tOil }), rate: 10, lag: 2.5, noise: 0.1, quantum: 0.1})
		add(channel{q: "fuel_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.rail }), rate: 50, lag: 0.012, noise: 2800, bias: n(4000), quantum: 1000})
		if c.p.cyl == 5 || c.p.cyl == 6 {
			add(channel{q: "fuel_flow", dim: "flow", get: f(func(s *sample) float32 { return s.fuel }), rate: 50, lag: 0.03, noise: 0.0007, scale: 1 + n(0.012), quantum: 1e-5})
		} else {
			add(channel{q: "injector_duty", dim: "share", get: f(func(s *sample) float32 { return s.duty }), rate: 50, noise: 0.002, quantum: 0.001})
		}
	}
	lamScale := 1 + n(0.006)
	lamDim := "lambda"
	if !sat {
		add(channel{q: "lambda_1", dim: lamDim, get: f(func(s *sample) float32 { return min(s.lam1, 1.6) }), rate: 50, lag: 0.06, delay: 0.05, noise: 0.003, scale: lamScale, quantum: 0.001})
		if mid && c.p.banks > 1 {
			add(channel{q: "lambda_2", dim: lamDim, get: f(func(s *sample) float32 { return min(s.lam2, 1.6) }), rate: 50, lag: 0.06, delay: 0.05, noise: 0.003, scale: lamScale, quantum: 0.001})
		}
		add(channel{q: "ignition_angle", dim: "angle", get: f(func(s *sample) float32 { return s.ign * deg }), rate: 50, quantum: 0.1 * deg})
	}
	if mid {
		for k := 1; k <= min(2, 1+c.p.banks/2); k++ {
			add(channel{q: fmt.Sprintf("knock_%d", k), dim: "volt", special: "knock", rate: 100, lag: 0.004, noise: 0.012, quantum: 0.005})
		}
		eb := n(6)
		switch {
		case full:
			for k := range c.p.cyl {
				sp := c.p.egtSpread[k]
				first := k%2 == 0 // of the first bank or injector group
				cyl := k
				add(channel{q: fmt.Sprintf("egt_%d", k+1), dim: "temp", rate: 10, lag: 0.7, noise: 1.2, bias: eb + n(3), quantum: 0.5,
					get: func(s *sample) float64 { return float64(egt(s, first, cyl)) + sp }})
			}
		case c.p.banks > 1:
			add(channel{q: "egt_b1", dim: "temp", get: f(func(s *sample) float32 { return s.ex1 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
			add(channel{q: "egt_b2", dim: "temp", get: f(func(s *sample) float32 { return s.ex2 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
		default:
			add(channel{q: "egt_all", dim: "temp", get: f(func(s *sample) float32 { return (s.ex1 + s.ex2) / 2 }), rate: 10, lag: 0.75, noise: 1, bias: eb, quantum: 0.5})
		}
	}
	if !sat {
		names := [4]string{"wheel_fl", "wheel_fr", "wheel_rl", "wheel_rr"}
		for w := range 4 {
			if set == "poor" && w%2 == 1 {
				continue
			}
			add(channel{q: names[w], dim: "speed", special: "wheel", wheel: w, rate: 100, scale: 1 + n(0.002), circum: c.p.setCircum})
		}
		add(channel{q: "accel_long", dim: "accel", special: "accel", rate: 100, lag: 0.009, noise: 0.06, bias: n(0.25), quantum: 0.01})
	}
	if full {
		add(channel{q: "accel_lat", dim: "accel", special: "lat", rate: 100, lag: 0.009, noise: 0.08, bias: n(0.25), quantum: 0.01})
	}
	gr := 20.0
	if set == "poor" {
		gr = 10
	} else if full {
		gr = 25
	}
	late := 0.11 + 0.06*r.Float64()
	add(channel{q: "gps_speed", dim: "speed", special: "gps", rate: gr, lag: 0.05, delay: late, noise: 0.05, quantum: 0.01})
	add(channel{q: "gps_lat", dim: "geo", special: "gps", rate: gr, lag: 0.03, delay: late, quantum: 1e-7})
	add(channel{q: "gps_lon", dim: "geo", special: "gps", rate: gr, lag: 0.03, delay: late, quantum: 1e-7})
	if full {
		add(channel{q: "turbo_rpm", dim: "rotation", get: f(func(s *sample) float32 { return s.wT }), rate: 50, lag: 0.03, noise: 150 * rpm, quantum: 100 * rpm})
		add(channel{q: "crankcase_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.pCrank }), rate: 50, lag: 0.03, noise: 250, bias: n(150), quantum: 100})
		add(channel{q: "clutch_pedal", dim: "share", get: func(s *sample) float64 { return 1 - float64(s.clutch) }, rate: 50, noise: 0.004, quantum: 0.005})
		add(channel{q: "wastegate", dim: "share", get: f(func(s *sample) float32 { return s.gateDuty }), rate: 50, quantum: 0.001})
		add(channel{q: "torque_cut", dim: "share", get: f(func(s *sample) float32 { return s.cut }), rate: 50, quantum: 0.01})
		add(channel{q: "gearbox_temp", dim: "temp", get: f(func(s *sample) float32 { return s.tBox }), rate: 5, lag: 3, noise: 0.1, quantum: 0.1})
		add(channel{q: "fuel_trim_1", dim: "share", get: f(func(s *sample) float32 { return s.trim }), rate: 10, quantum: 0.001})
		if e := c.p.fuel.ethanol; e > 0 {
			add(channel{q: "ethanol_fraction", dim: "share", get: func(*sample) float64 { return e }, rate: 2, noise: 0.004, bias: n(0.008), quantum: 0.01})
		}
		add(channel{q: "tyre_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.pTyre }), rate: 1, lag: 0.5, noise: 300, quantum: 500})
	}
	if c.p.n2oFlow > 0 && mid {
		add(channel{q: "nitrous_on", dim: "flag", get: func(s *sample) float64 {
			if s.n2oOn {
				return 1
			}
			return 0
		}, rate: 50})
		add(channel{q: "bottle_pressure", dim: "gauge", get: f(func(s *sample) float32 { return s.bottle }), rate: 10, lag: 0.1, noise: 8e3, quantum: 1e4})
	}
	if mid {
		add(channel{q: "gear", dim: "gear", special: "gear", rate: 20, delay: 0.05, quantum: 1})
		add(channel{q: "battery_voltage", dim: "volt2", get: f(func(s *sample) float32 { return s.volts }), rate: 10, noise: 0.03, quantum: 0.02})
		add(channel{q: "brake", dim: "share", get: f(func(s *sample) float32 { return s.brake }), rate: 20, noise: 0.004, quantum: 0.005})
	}
	return out
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
