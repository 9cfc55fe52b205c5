package demo

import (
	"math"
	"strings"
)

// signalOf is a signal by which a fault may be seen, with the change that
// counts as visible.
var faultSignals = []struct {
	name      string
	threshold float64
	get       func(*sample) float64
}{
	{"map", 6000, func(s *sample) float64 { return float64(s.pM) }},
	{"exhaust_manifold_pressure", 10000, func(s *sample) float64 { return float64(s.pE) }},
	{"compressor_inlet_pressure", 1500, func(s *sample) float64 { return float64(s.p1) }},
	{"fuel_pressure", 12000, func(s *sample) float64 { return float64(s.rail) }},
	{"oil_pressure", 25000, func(s *sample) float64 { return float64(s.pOil) }},
	{"coolant_pressure", 8000, func(s *sample) float64 { return float64(s.pCool) }},
	{"crankcase_pressure", 1200, func(s *sample) float64 { return float64(s.pCrank) }},
	{"coolant_temp", 3, func(s *sample) float64 { return float64(s.tCool) }},
	{"intake_temp", 3, func(s *sample) float64 { return float64(s.tChg) }},
	{"egt_b1", 25, func(s *sample) float64 { return float64(egt(s, true, 0)) }},
	{"egt_b2", 25, func(s *sample) float64 { return float64(s.ex2) }},
	{"lambda_1", 0.02, func(s *sample) float64 { return float64(s.lam1) }},
	{"lambda_2", 0.02, func(s *sample) float64 { return float64(s.lam2) }},
	{"ignition_angle_deg", 1, func(s *sample) float64 { return float64(s.ign) }},
	{"knock_1", 0.3, func(s *sample) float64 { return float64(s.knock) }},
	{"turbo_rpm", 1500, func(s *sample) float64 { return float64(s.wT) / rpm }},
	{"accel_long", 0.35, func(s *sample) float64 { return float64(s.a) }},
	{"hub_torque", 120, func(s *sample) float64 { return float64(s.hub) }},
	{"clutch_slip_rpm", 60, func(s *sample) float64 {
		if s.gear == 0 || s.clutch < 0.99 {
			return 0
		}
		return float64(s.torqueSlip) / rpm
	}},
	{"injector_duty", 0.03, func(s *sample) float64 { return float64(s.duty) }},
	{"throttle", 0.03, func(s *sample) float64 { return float64(s.throttle) }},
	{"battery_voltage", 0.3, func(s *sample) float64 { return float64(s.volts) }},
	{"n2o_flow", 0.004, func(s *sample) float64 { return float64(s.n2o) }},
	{"wastegate", 0.06, func(s *sample) float64 { return float64(s.gateDuty) }},
	{"tyre_radius", 0.0012, func(s *sample) float64 { return float64(s.r) }},
}

// affected lists the channels by which each kind shows, most telling first.
var affected = map[Kind][]string{
	CylinderDown:      {"egt_*", "lambda_*", "accel_long", "rpm"},
	IgnitionFault:     {"lambda_*", "accel_long", "egt_*"},
	BoostLeak:         {"map", "turbo_rpm", "pre_throttle_pressure", "wastegate", "exhaust_manifold_pressure"},
	Underboost:        {"map", "wastegate", "turbo_rpm"},
	Overboost:         {"map", "wastegate", "turbo_rpm"},
	TurboOverspeed:    {"turbo_rpm", "compressor_inlet_pressure", "compressor_out_temp", "exhaust_manifold_pressure", "wastegate"},
	TurbineChoke:      {"exhaust_manifold_pressure", "wastegate", "accel_long"},
	FuelSupply:        {"fuel_pressure", "lambda_*", "injector_duty", "egt_*"},
	MixtureLean:       {"lambda_*", "egt_*"},
	MixtureImbalance:  {"lambda_*", "egt_*"},
	OilSupply:         {"oil_pressure"},
	CoolantPressure:   {"coolant_pressure"},
	CrankcasePressure: {"crankcase_pressure"},
	Overheat:          {"coolant_temp", "coolant_pressure"},
	ChargeHeat:        {"intake_temp", "ignition_angle", "cooler_water_temp"},
	KnockFault:        {"knock_*", "ignition_angle"},
	NitrousFault:      {"bottle_pressure", "map", "lambda_*"},
	ThrottleFault:     {"throttle", "map", "pre_throttle_pressure"},
	ClutchSlip:        {"rpm", "accel_long", "wheel_*"},
	DrivelineFault:    {"accel_long", "wheel_*"},
	TyreFault:         {"wheel_*", "tyre_pressure"},
	ElectricalFault:   {"battery_voltage", "fuel_pressure", "lambda_*"},
}

// faultTruth compares the run with its twin that had no fault: same gear, same
// time in gear.
func (t *teller) faultTruth(twin *teller, chs []channel) js {
	f := t.fault
	o := js{"type": strings.ReplaceAll(string(f.Kind), " ", "_"), "kind": string(f.Kind), "grade": string(f.Grade), "ramp_s": num(f.Ramp),
		"severity": num(f.Severity), "severity_unit": f.Unit, "t_end": nil, "detail": js{}, "effects": js{}}
	start := t.drv.tRelease + f.After
	if f.Always {
		start = t.ss[0].t
	}
	o["t_start"] = t.own(start)
	o["from_launch"] = num(start - t.out.tLaunch)
	aff := affected[f.Kind]
	if f.Kind == SensorFault {
		aff = []string{f.Channel}
		o["detail"] = js{"channel": f.Channel, "mode": f.Mode}
	}
	o["channels_affected"] = aff
	here := []string{}
	for _, a := range aff {
		for _, c := range chs {
			if c.q == a || strings.HasSuffix(a, "*") && strings.HasPrefix(c.q, strings.TrimSuffix(a, "*")) {
				here = append(here, c.q)
			}
		}
	}
	o["channels_present"], o["visible"] = here, len(here) > 0
	if f.Kind == SensorFault {
		o["t_observable"] = t.own(start)
		return o
	}
	eff := js{}
	first := math.NaN()
	pairs := t.matched(twin, start)
	for _, sg := range faultSignals {
		big, tbig, tover := 0.0, math.NaN(), math.NaN()
		var now, longest parting
		for _, m := range pairs {
			q := &t.ss[m[0]]
			is := sg.get(&twin.ss[m[1]])
			d := sg.get(q) - is
			now.add(q.t, d, is, sg.threshold)
			if now.to-now.from > longest.to-longest.from {
				longest = now
			}
			if math.Abs(d) > math.Abs(big) {
				big, tbig = d, q.t
			}
			if math.Abs(d) > sg.threshold && !(tover <= q.t) {
				tover = q.t
			}
		}
		if math.Abs(big) > sg.threshold {
			eff[sg.name] = js{"largest_change": num(big), "t_largest": t.own(tbig), "t_first_over": t.own(tover), "threshold": num(sg.threshold),
				"held_s": num(longest.to - longest.from), "held_change": num(longest.change / longest.n), "held_share": num(longest.change / longest.size)}
			if !(first <= tover) {
				first = tover
			}
		}
	}
	o["effects"] = eff
	if t.events.IdleBefore > 0 || t.events.IdleAfter > 0 {
		o["at_rest"] = t.atRest(twin)
	}
	o["t_observable"] = t.own(first)
	return o
}

// parting is the longest time for which a signal stays beyond its threshold on
// one side of the twin's.
type parting struct{ from, to, change, size, n float64 }

func (k *parting) add(t, d, is, threshold float64) {
	if !(math.Abs(d) > threshold) {
		*k = parting{}
		return
	}
	if k.n == 0 || d*k.change < 0 || t-k.to > 0.8 {
		*k = parting{from: t}
	}
	k.to, k.change, k.size, k.n = t, k.change+d, k.size+math.Abs(is), k.n+1
}

// matched pairs the samples of two runs, every 5 ms, in the same gear at the
// same time in gear, outside shifts, from start on.
func (t *teller) matched(twin *teller, start float64) [][2]int {
	var out [][2]int
	for _, sp := range t.spans {
		for _, tw := range twin.spans {
			if tw.gear != sp.gear {
				continue
			}
			for dt := 0.15; sp.from+dt < sp.to && tw.from+dt < tw.to; dt += 0.005 {
				x := sp.from + dt
				if x < start || t.inShift(x) || twin.inShift(tw.from+dt) {
					continue
				}
				out = append(out, [2]int{t.idx(x), twin.idx(tw.from + dt)})
			}
		}
	}
	return out
}
