package demo

import "math"

// gears is the truth by gear: where it was driven, and means over the
// full-throttle time outside shifts.
func (t *teller) gears(x0 float64) []any {
	out := []any{}
	p0 := t.air.Pressure
	seen := map[int]bool{}
	for _, sp := range t.spans {
		if seen[sp.gear] { // found again after a miss: one entry a gear
			continue
		}
		seen[sp.gear] = true
		i, j := t.idx(sp.from), t.idx(sp.to)
		if j <= i+1 {
			continue
		}
		a, b := &t.ss[i], &t.ss[j]
		full := func(q *sample) bool {
			return q.throttle > 0.9 && q.phase == int8(phRun) && int(q.gear) == sp.gear && !t.inShift(q.t)
		}
		var n, hub, crank, slip, load, boost, bpr, locked, used float64
		var nb float64
		var slips []float64
		var nc, ceil, muAv, eff, past float64
		peakSlip := math.NaN()
		cmin, mumin, usedMax, boostMax := math.Inf(1), math.Inf(1), 0.0, 0.0
		cStart, cEnd := math.NaN(), math.NaN()
		ps := 0.12
		psSum := 0.0
		for k := i; k < j; k++ {
			q := &t.ss[k]
			if !full(q) {
				continue
			}
			n++
			hub += float64(q.hub)
			crank += float64(q.crank)
			load += float64(q.driven)
			bo := float64(q.pM) - p0
			boost += bo
			boostMax = math.Max(boostMax, bo)
			if q.pM > 0 {
				bpr += float64(q.pE / q.pM)
				nb++
			}
			if q.locked {
				locked++
			}
			if q.v > 3 {
				slip += float64(q.slip)
				slips = append(slips, float64(q.slip))
			}
			r := float64(q.r)
			mu := (float64(q.hub) - t.jDriven*float64(q.a)/r) / r / math.Max(float64(q.driven), 1)
			used += mu
			usedMax = math.Max(usedMax, mu)
			if k%20 == 0 {
				c, s, m := t.ceiling(q)
				nc++
				ceil += c
				muAv += m
				eff += c / t.ratio(sp.gear) / t.mesh
				cmin, mumin = math.Min(cmin, c), math.Min(mumin, m)
				if math.IsNaN(cStart) {
					cStart = c
				}
				cEnd = c
				ps = s
				psSum += s
			}
			if float64(q.slip) > ps && q.v > 0.5 {
				past += 0.001
			}
		}
		if nc > 0 {
			peakSlip = psSum / nc
		}
		div := func(x, y float64) num {
			if y == 0 {
				return num(math.NaN())
			}
			return num(x / y)
		}
		hp, _ := t.highest(sp.from, sp.to, 0.05, full, func(q *sample) float64 { return float64(q.hub) })
		cp, _ := t.highest(sp.from, sp.to, 0.05, full, func(q *sample) float64 { return float64(q.crank) })
		moving := func(q *sample) bool { return full(q) && q.v > 3 }
		slipMax, _ := t.highest(sp.from, sp.to, 0.05, moving, func(q *sample) float64 { return float64(q.slip) })
		inf := func(x float64) num {
			if math.IsInf(x, 0) {
				return num(math.NaN())
			}
			return num(x)
		}
		out = append(out, js{"gear": sp.gear, "ratio_total": num(t.ratio(sp.gear)), "t_start": t.own(sp.from), "t_end": t.own(sp.to),
			"x_start": num(a.x - x0), "x_end": num(b.x - x0), "v_start": num(a.v), "v_end": num(b.v), "rpm_start": num(float64(a.wE) / rpm), "rpm_end": num(float64(b.wE) / rpm),
			"duration": num(sp.to - sp.from), "hub_torque_peak": num(hp), "hub_torque_mean": div(hub, n), "crank_torque_peak": num(cp), "crank_torque_mean": div(crank, n),
			"slip_max": num(slipMax), "slip_mean": div(slip, float64(len(slips))), "slip_median": num(median(slips)), "slip_at_peak_grip": num(peakSlip),
			"mu_used_max": num(usedMax), "mu_used_mean": div(used, n), "mu_available_mean": div(muAv, nc), "mu_available_min": inf(mumin),
			"hub_torque_ceiling_mean": div(ceil, nc), "hub_torque_ceiling_min": inf(cmin), "hub_torque_ceiling_start": num(cStart), "hub_torque_ceiling_end": num(cEnd),
			"engine_side_ceiling_mean": div(eff, nc), "time_past_peak_slip": num(past), "driven_load_mean": div(load, n),
			"boost_gauge_mean": div(boost, n), "boost_gauge_peak": num(boostMax), "boost_target_gauge": num(t.targetFor(sp.gear)),
			"back_pressure_ratio_mean": div(bpr, nb), "full_throttle_s": num(n / 1000), "clutch_locked_s": num(locked / 1000)})
	}
	return out
}
