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

// marks are the marks' crossings; with the log's own times when own.
func (t *teller) marks(own bool) js {
	m := js{}
	for i, c := range t.out.marks {
		if i > 5 && !c.ok {
			continue
		}
		if !c.ok {
			m[markNames[i]] = nil
			continue
		}
		o := js{"from_move": num(c.t - t.out.tLaunch), "from_rollout": num(c.t - t.out.tRollout), "v": num(c.v)}
		if own {
			o["x"], o["t_log"] = num(markAt[i]), t.own(c.t)
		}
		m[markNames[i]] = o
	}
	return m
}

func (t *teller) trap() any {
	o := &t.out
	if !o.line.ok || !o.trapIn.ok {
		return nil
	}
	return js{"v_mean_66ft": num(trapLen / (o.line.t - o.trapIn.t)), "v_inst": num(o.line.v)}
}

func (t *teller) shifts(x0 float64) []any {
	out := []any{}
	p0 := t.air.Pressure
	for i := range t.sh {
		s := &t.sh[i]
		pre := s.mapBegin - p0
		next := t.targetFor(s.to)
		lo, tlo := math.Inf(1), 0.0
		v2 := s.vBegin
		n2o := t.n2oKg
		for k := t.idx(s.begin); k < len(t.ss) && t.ss[k].t < s.end; k++ {
			if m := float64(t.ss[k].pM); m < lo {
				lo, tlo = m, t.ss[k].t
			}
			if t.ss[k].t <= s.on {
				v2 = t.ss[k].v
			}
		}
		if i+1 < len(t.sh) {
			n2o = t.sh[i+1].n2oBegin
		}
		toPre := t.recovered(s.begin, s.end, 0.95*pre)
		toTarget := t.recovered(s.begin, s.end, 0.95*next)
		late := s.engaged - s.begin
		lesser := 0.95 * math.Min(pre, next)
		rec := t.recovered(s.begin, s.end, lesser)
		if finite(rec) {
			rec = math.Max(0, s.begin+rec-s.on)
		}
		from50 := math.NaN()
		if a, b := t.recovered(math.Max(tlo, s.begin), s.end, 50e3), t.recovered(math.Max(tlo, s.begin), s.end, 0.95*next); finite(a) && finite(b) {
			from50 = b - a
		}
		wAfter := t.ss[t.idx(s.on)].wE
		out = append(out, js{"from_gear": s.from, "to_gear": s.to, "t_start": t.own(s.begin), "t_neutral": t.own(s.neutral), "t_engaged": t.own(s.engaged),
			"t_torque_off": t.own(s.off), "t_torque_on": t.own(s.on), "torque_off_s": num(s.on - s.off), "v": num(s.vBegin), "x": num(s.xBegin - x0),
			"rpm_before": num(s.wBefore / rpm), "rpm_after": num(float64(wAfter) / rpm), "speed_change": num(v2 - s.vBegin),
			"map_start": num(s.mapBegin), "map_min": num(lo), "t_map_min": t.own(tlo), "map_target_next": num(p0 + next),
			"recovery_to_pre_from_start_s": num(toPre), "recovery_to_target_from_start_s": num(toTarget),
			"recovery_to_pre_from_engaged_s": num(toPre - late), "recovery_to_target_from_engaged_s": num(toTarget - late),
			"recovery_50kpa_to_95pct_target_s": num(from50), "recovery_s": num(rec), "missed": s.missed, "n2o_used_kg": num(n2o - s.n2oBegin)})
	}
	return out
}

func (t *teller) launch() js {
	rel := t.drv.tRelease
	q := &t.ss[t.idx(rel)]
	var slip, slipV, acc float64
	for i := t.idx(rel); i < len(t.ss) && t.ss[i].t < rel+2.5; i++ {
		s := &t.ss[i]
		if s.v > 3 {
			slip = math.Max(slip, float64(s.slip))
		}
		slipV = math.Max(slipV, float64(s.wW)*float64(s.r)-s.v)
		acc = math.Max(acc, float64(s.a))
	}
	o := js{"rpm_at_release": num(float64(q.wE) / rpm), "map_at_release": num(float64(q.pM)), "t_clutch_locked": nil, "clutch_slip_s": nil, "rpm_at_lock": nil,
		"slip_max_first_2_5_s": num(slip), "slip_speed_max": num(slipV), "accel_max": num(acc)}
	if t.out.tLocked > 0 {
		o["t_clutch_locked"], o["clutch_slip_s"] = t.own(t.out.tLocked), num(t.out.tLocked-rel)
		o["rpm_at_lock"] = num(float64(t.ss[t.idx(t.out.tLocked)].wE) / rpm)
	}
	return o
}

func (t *teller) peakPower(x0 float64) any {
	away := func(q *sample) bool {
		if q.phase != int8(phRun) || q.throttle < 0.9 || q.gear == 0 {
			return false
		}
		if q.t < t.drv.tRelease+0.5 {
			return false
		}
		for i := range t.sh {
			if q.t > t.sh[i].begin-0.5 && q.t < t.sh[i].engaged+0.5 {
				return false
			}
		}
		return true
	}
	best, when := t.highest(t.drv.tRelease, t.endOfRun(), 0.1, away, func(q *sample) float64 { return float64(q.hub) * float64(q.wW) })
	if !finite(best) {
		return nil
	}
	q := &t.ss[t.idx(when)]
	return js{"power": num(best), "t_log": t.own(when), "gear": int(q.gear), "rpm": num(float64(q.wE) / rpm), "x": num(q.x - x0), "v": num(q.v),
		"fuel_mass_flow": num(q.fuel), "air_mass_flow": num(q.air), "map": num(q.pM), "exhaust_manifold_pressure": num(q.pE),
		"back_pressure_ratio": num(float64(q.pE / q.pM)), "lam": num(q.lam1), "intake_temp": num(q.tChg), "injector_duty": num(q.duty),
		"turbo_rpm": num(float64(q.wT) / rpm), "crank_power": num(float64(q.crank) * float64(q.wE))}
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
