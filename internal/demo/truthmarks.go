package demo

import "math"

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
