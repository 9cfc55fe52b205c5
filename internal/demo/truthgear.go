package demo

import "math"

// gears is the truth by gear: where it was driven, and means over the
// full-throttle time outside shifts.
func (t *teller) gears(x0 float64) []any {
	out := []any{}
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
		entry := t.spanOf(sp, x0)
		t.sums(sp, i, j).tell(entry)
		t.peaks(sp, entry)
		out = append(out, entry)
	}
	return out
}

// full says whether q lies in the gear's full-throttle time outside shifts.
func (t *teller) full(gear int, q *sample) bool {
	return q.throttle > 0.9 && q.phase == int8(phRun) && int(q.gear) == gear && !t.inShift(q.t)
}

// spanOf is where and when a gear was driven.
func (t *teller) spanOf(sp gearSpan, x0 float64) js {
	a, b := &t.ss[t.idx(sp.from)], &t.ss[t.idx(sp.to)]
	return js{"gear": sp.gear, "ratio_total": num(t.ratio(sp.gear)), "t_start": t.own(sp.from), "t_end": t.own(sp.to),
		"x_start": num(a.x - x0), "x_end": num(b.x - x0), "v_start": num(a.v), "v_end": num(b.v),
		"rpm_start": num(float64(a.wE) / rpm), "rpm_end": num(float64(b.wE) / rpm),
		"duration": num(sp.to - sp.from), "boost_target_gauge": num(t.targetFor(sp.gear))}
}

// peaks adds a gear's highest means over 50 ms.
func (t *teller) peaks(sp gearSpan, entry js) {
	full := func(q *sample) bool { return t.full(sp.gear, q) }
	moving := func(q *sample) bool { return full(q) && q.v > 3 }
	for _, p := range []struct {
		key string
		ok  func(*sample) bool
		of  func(*sample) float64
	}{
		{"hub_torque_peak", full, func(q *sample) float64 { return float64(q.hub) }},
		{"crank_torque_peak", full, func(q *sample) float64 { return float64(q.crank) }},
		{"slip_max", moving, func(q *sample) float64 { return float64(q.slip) }},
	} {
		v, _ := t.highest(sp.from, sp.to, 0.05, p.ok, p.of)
		entry[p.key] = num(v)
	}
}

// gearSums gathers a gear's full-throttle samples, one a millisecond.
type gearSums struct {
	n, locked              float64
	hub, crank, load, used float64
	usedMax                float64
	slips                  []float64 // where the car moves
	slip                   float64
	boost, boostMax        float64
	backRatio, pressed     float64 // sum, and how many samples have it
	grip                   ceilings
	past                   float64 // s beyond the slip of peak grip
}

// ceilings gathers what the tyres would carry, every 20 ms.
type ceilings struct {
	n, torque, engineSide float64
	least, first, last    float64 // N·m at the hubs
	mu, leastMu           float64
	slip, slipNow         float64 // of peak grip: sum, and the present one
}

func (t *teller) sums(sp gearSpan, i, j int) *gearSums {
	g := &gearSums{grip: ceilings{least: math.Inf(1), leastMu: math.Inf(1), first: math.NaN(), last: math.NaN(), slipNow: 0.12}}
	for k := i; k < j; k++ {
		q := &t.ss[k]
		if !t.full(sp.gear, q) {
			continue
		}
		t.sum(g, q)
		if k%20 == 0 {
			c, s, m := t.ceiling(q)
			g.grip.add(c, s, m)
			g.grip.engineSide += c / t.ratio(sp.gear) / t.mesh
		}
		if float64(q.slip) > g.grip.slipNow && q.v > 0.5 {
			g.past += 0.001
		}
	}
	return g
}

func (t *teller) sum(g *gearSums, q *sample) {
	g.n++
	g.hub += float64(q.hub)
	g.crank += float64(q.crank)
	g.load += float64(q.driven)
	boost := float64(q.pM) - t.air.Pressure
	g.boost += boost
	g.boostMax = math.Max(g.boostMax, boost)
	if q.pM > 0 {
		g.backRatio += float64(q.pE / q.pM)
		g.pressed++
	}
	if q.locked {
		g.locked++
	}
	if q.v > 3 {
		g.slip += float64(q.slip)
		g.slips = append(g.slips, float64(q.slip))
	}
	r := float64(q.r)
	mu := (float64(q.hub) - t.jDriven*float64(q.a)/r) / r / math.Max(float64(q.driven), 1)
	g.used += mu
	g.usedMax = math.Max(g.usedMax, mu)
}

// add counts a hub torque that the tyres carry at most (N·m), the slip of peak
// grip and the grip there.
func (c *ceilings) add(torque, slip, mu float64) {
	c.n++
	c.torque += torque
	c.mu += mu
	c.least, c.leastMu = math.Min(c.least, torque), math.Min(c.leastMu, mu)
	if math.IsNaN(c.first) {
		c.first = torque
	}
	c.last = torque
	c.slipNow = slip
	c.slip += slip
}

// tell adds the means and extremes to a gear's entry; one of nothing is not a
// number, which prints as null.
func (g *gearSums) tell(entry js) {
	for key, v := range map[string]num{
		"hub_torque_mean": num(g.hub / g.n), "crank_torque_mean": num(g.crank / g.n), "driven_load_mean": num(g.load / g.n),
		"mu_used_mean": num(g.used / g.n), "mu_used_max": num(g.usedMax),
		"slip_mean": num(g.slip / float64(len(g.slips))), "slip_median": num(median(g.slips)),
		"boost_gauge_mean": num(g.boost / g.n), "boost_gauge_peak": num(g.boostMax),
		"back_pressure_ratio_mean": num(g.backRatio / g.pressed), "time_past_peak_slip": num(g.past),
		"full_throttle_s": num(g.n / 1000), "clutch_locked_s": num(g.locked / 1000),

		"slip_at_peak_grip": num(g.grip.slip / g.grip.n), "mu_available_mean": num(g.grip.mu / g.grip.n),
		"mu_available_min":        num(g.grip.leastMu),
		"hub_torque_ceiling_mean": num(g.grip.torque / g.grip.n), "hub_torque_ceiling_min": num(g.grip.least),
		"hub_torque_ceiling_start": num(g.grip.first), "hub_torque_ceiling_end": num(g.grip.last),
		"engine_side_ceiling_mean": num(g.grip.engineSide / g.grip.n),
	} {
		entry[key] = v
	}
}
