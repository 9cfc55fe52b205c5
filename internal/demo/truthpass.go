package demo

import (
	"math"
	"sort"
)

// pass is the truth of one pass as an object of the format that
// docs/demo.md describes.
func (t *teller) pass(index int) js {
	o := &t.out
	x0 := o.xStage
	out := js{
		"index":         index,
		"conventions":   "times are seconds of the log's own clock; from_move counts from t_launch, from_rollout from the instant 0.3048 m were covered; distances from the staged position",
		"t_launch":      t.own(o.tLaunch),
		"t_rollout_1ft": t.own(o.tRollout), "t_clutch_release": t.own(t.drv.tRelease),
		"complete":   o.line.ok && !t.drv.lifted,
		"healthy":    t.fault == nil,
		"marks":      t.marks(true),
		"trap":       t.trap(),
		"v_max":      num(o.vMax),
		"gears":      t.gears(x0),
		"shifts":     t.shifts(x0),
		"launch":     t.launch(),
		"slip_cut_s": num(o.slipCutS), "limiter_s": num(o.limiterS),
		"t_final_lift": t.orNull(t.drv.tLift), "t_brake": t.orNull(t.drv.tBrake),
		"fuel_used": num(t.fuelKg), "n2o_used": num(t.n2oKg),
		"peak_hub_power": t.peakPower(x0),
		"environment": js{"t_amb": num(t.air.AirTemp), "p_amb": num(t.air.Pressure), "rh": num(t.air.Humidity),
			"headwind_mean": num(t.air.Headwind), "gust_sd": num(t.air.Gust), "crosswind": num(t.air.Crosswind), "grade": num(t.strip.Grade),
			"air_density": num(t.rho), "dry_fraction": num(t.dry)},
		"settings":   t.settings(),
		"car_params": t.params(),
		"trace_20hz": t.trace(x0),
		"faults":     []any{},
		"sequels":    []any{},
	}
	lifts := []any{}
	for _, p := range t.drv.pedals {
		lifts = append(lifts, js{"t_start": t.own(p.from), "t_end": t.own(p.to)})
	}
	out["pedal_lifts"] = lifts
	missed := []int{}
	for i, s := range t.sh {
		if s.missed {
			missed = append(missed, i)
		}
	}
	out["driver_events"] = js{"missed_shifts": missed, "pedals": len(t.drv.pedals), "aborted": t.drv.lifted,
		"burnout": t.events.Burnout && t.driven != allDriven, "creep": t.events.Creep || t.events.Burnout}
	bpr, above := 0.0, math.NaN()
	for i := range t.ss {
		q := &t.ss[i]
		if q.phase == int8(phRun) && q.throttle > 0.9 && float64(q.pM) > t.air.Pressure {
			r := float64(q.pE / q.pM)
			bpr = math.Max(bpr, r)
			if r > 2 && math.IsNaN(above) {
				above = q.t
			}
		}
	}
	out["back_pressure_ratio_max"] = num(bpr)
	out["t_back_pressure_ratio_above_2"] = t.own(above)
	e := t.energy
	out["energy"] = js{"crank_work": num(e.CrankWork), "kinetic_gain": num(e.KineticGain), "residual": num(e.Residual()),
		"clutch_loss": num(e.Clutch), "gear_loss": num(e.Gear), "tyre_loss": num(e.Tyre), "roll_loss": num(e.Roll), "aero_loss": num(e.Aero),
		"grade_loss": num(e.Grade), "brake_loss": num(e.Brake), "damp_loss": num(e.Damp), "spring_gain": num(e.SpringGain)}
	return out
}

func (t *teller) orNull(x float64) any {
	if x <= 0 {
		return nil
	}
	return t.own(x)
}

func (t *teller) settings() js {
	aims, this := []num{}, []num{}
	for i, w := range t.set.ShiftSpeed {
		aims = append(aims, num(w/rpm))
		this = append(this, num((w+t.hand.aim[i])/rpm))
	}
	var boost []float64
	for g := range t.car.p.gears {
		boost = append(boost, t.targetFor(g+1))
	}
	n := 0.0
	if t.set.Nitrous {
		n = t.n2oFlow
	}
	return js{"boost_target_gauge": nums(boost), "shift_rpm_nominal": aims, "shift_rpm_this_pass": this,
		"p_tyre_cold_gauge": num(t.set.ColdPressure), "n2o_mass_flow": num(n), "launch_rpm": num(t.set.LaunchSpeed / rpm)}
}

func (t *teller) params() js {
	p := t.plan
	lay := p.driven.String()
	return js{"mass": num(p.mass), "cda": num(p.cda), "cla_f": num(p.clf), "cla_r": num(p.clr), "crr0": num(p.crr0), "h_cg": num(p.hcg), "wf": num(p.wf),
		"r0": num(p.r0), "final": num(p.final), "eta_box": num(p.mesh), "j_eng": num(p.jEngine), "j_wheel": num(p.jDriven), "j_und": num(p.jUndriven),
		"layout": lay, "gears": nums(p.gears), "boost_target_gauge": nums(p.boost), "gearbox": boxText(p.box), "wheelbase": num(p.wheelbase),
		"radius_growth": num(p.grow), "tyre_mu0": num(p.mu0), "tyre_stiffness": num(p.stiff)}
}

// trace is the pass at 20 Hz.
func (t *teller) trace(x0 float64) js {
	keys := []string{"t_log", "x", "v", "a", "gear", "slip", "hub_torque", "hub_ceiling", "map", "driven_load"}
	out := map[string][]num{}
	for k := t.idx(t.drv.tRelease - 0.5); k < len(t.ss); k += 50 {
		q := &t.ss[k]
		if q.t > t.endOfRun()+0.5 {
			break
		}
		c, _, _ := t.ceiling(q)
		vals := []float64{float64(t.own(q.t)), q.x - x0, q.v, float64(q.a), float64(q.gear), float64(q.slip), float64(q.hub), c, float64(q.pM), float64(q.driven)}
		for i, key := range keys {
			out[key] = append(out[key], num(vals[i]))
		}
	}
	o := js{}
	for k, v := range out {
		o[k] = v
	}
	return o
}

func boxText(b boxKind) string {
	return [...]string{"synchro, lift", "synchro, no lift", "dog", "dog, paddles"}[b]
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	y := append([]float64(nil), x...)
	sort.Float64s(y)
	return y[len(y)/2]
}
