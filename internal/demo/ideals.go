package demo

import (
	"math"

	"traplight/internal/num/xrand"
)

// again runs the pass of r once more with changes, without a record.
func (c Car) again(r one, change func(*plan)) *sim {
	p := c.plan(r.o, r.seed)
	p.fast = true
	p.stopAt = p.strip.Length + 0.5
	change(p)
	return p.simulate()
}

// likeCounterfactual is a run told as a counterfactual.
func likeCounterfactual(s *sim, c Car) js {
	o := s.outcome(c)
	t := &teller{sim: s}
	j := js{"complete": o.Complete, "trap_mean_66ft": nil, "trap_inst": nil, "et_from_move": nil, "marks": t.marks(false)}
	if o.Trap > 0 {
		j["trap_mean_66ft"], j["trap_inst"], j["et_from_move"] = num(o.Trap), num(o.TrapAtLine), num(o.TimeMove)
	}
	return j
}

// counterfactuals are the runs with one cause made ideal, the same driver's
// hand, gusts and noise.
func (c Car) counterfactuals(t *teller, r one) js {
	base := t.outcome(c)
	out := js{}
	top := 0.0
	for _, b := range r.p.set.Boost {
		top = max(top, b)
	}
	cases := []struct {
		name   string
		change func(*plan)
	}{
		{"perfect_traction", func(p *plan) { p.ideal.traction = true }},
		{"held_back_torque", func(p *plan) {
			p.ideal.traction = true
			for g := range p.set.Boost {
				p.set.Boost[g] = top
			}
		}},
		{"instant_shifts", func(p *plan) { p.ideal.shifts = true }},
		{"no_boost_lag", func(p *plan) {
			p.ideal.boost = true
			p.ideal.back, p.ideal.heat = t.steadyBoost()
		}},
		{"no_drag", func(p *plan) { p.ideal.drag = true }},
		{"still_air", func(p *plan) { p.ideal.still = true }},
	}
	if r.p.fault != nil && r.p.fault.Kind != SensorFault {
		cases = append(cases, struct {
			name   string
			change func(*plan)
		}{"no_fault", func(p *plan) { p.fault = nil }})
	}
	for _, k := range cases {
		s := c.again(r, k.change)
		j := likeCounterfactual(s, c)
		o := s.outcome(c)
		j["trap_gain"], j["et_gain"] = nil, nil
		if o.Trap > 0 && base.Trap > 0 {
			j["trap_gain"], j["et_gain"] = num(o.Trap-base.Trap), num(base.TimeMove-o.TimeMove)
		}
		out[k.name] = j
	}
	return out
}

// steadyBoost is the car while boost is within 6 % of its target at full
// throttle: gauge pressure before the turbine over gauge boost, and the
// compressor's heating over that of an ideal one.
func (t *teller) steadyBoost() (back, heat float64) {
	n := 0.0
	for i := range t.ss {
		q := &t.ss[i]
		b := float64(q.pM) - t.air.Pressure
		if q.phase == int8(phRun) && q.throttle > 0.9 && b > 30e3 && math.Abs(b-float64(q.target)) < 0.06*float64(q.target) {
			back += (float64(q.pE) - t.air.Pressure) / b
			heat += (float64(q.tComp)/t.air.AirTemp - 1) / (math.Pow(float64(q.pB)/t.air.Pressure, 1/3.5) - 1)
			n++
		}
	}
	if n < 100 {
		return 0.9, 1 / 0.74
	}
	return back / n, heat / n
}

// after returns the options of a planned pass that follows o.
func (c Car) after(r one, pl PlannedPass) PassOptions {
	o := r.o
	if o.DaySeed == 0 {
		o.DaySeed = r.seed // the track's day stays
	}
	set := r.p.set.clone()
	for g, b := range pl.BoostAdd {
		if g < len(set.Boost) {
			set.Boost[g] += b
		}
	}
	for g := range set.ShiftSpeed {
		set.ShiftSpeed[g] += pl.ShiftAdd
	}
	if pl.Nitrous != nil {
		set.Nitrous = *pl.Nitrous
	}
	if pl.ColdPressure > 0 {
		set.ColdPressure = pl.ColdPressure
	}
	set.MassAdd += pl.MassAdd
	set.DragAreaAdd += pl.DragAreaAdd
	o.Settings = &set
	w := r.p.air
	if pl.Weather != nil {
		w = *pl.Weather
	}
	o.Weather = &w
	if pl.Strip != nil {
		o.Strip = pl.Strip
	}
	o.Driver.MissShift, o.Driver.Pedal, o.Driver.LiftAt, o.Driver.FeatherFor = 0, false, 0, 0
	o.Fault = nil
	return o
}

// sequel runs a planned pass twice: by the same hand and gusts, and afresh.
func (c Car) sequel(t *teller, r one, pl PlannedPass) js {
	base := t.outcome(c)
	o := c.after(r, pl)
	change := js{}
	if pl.BoostAdd != nil {
		k := make([]float64, len(pl.BoostAdd))
		for i, b := range pl.BoostAdd {
			k[i] = b / 1e3
		}
		change["boost_add"] = nums(k)
	}
	if pl.ShiftAdd != 0 {
		change["shift_rpm_add"] = num(pl.ShiftAdd / rpm)
	}
	if pl.Nitrous != nil {
		change["n2o"] = num(0)
		if *pl.Nitrous {
			change["n2o"] = num(c.p.n2oFlow)
		}
	}
	if pl.ColdPressure > 0 {
		change["p_tyre_cold_gauge"] = num(pl.ColdPressure)
	}
	if pl.MassAdd != 0 {
		change["mass_add"] = num(pl.MassAdd)
	}
	if pl.DragAreaAdd != 0 {
		change["cda_add"] = num(pl.DragAreaAdd)
	}
	w := o.Weather
	out := js{"id": pl.ID, "minutes_later": num(pl.MinutesLater), "change": change, "text": pl.Text,
		"weather": js{"t_amb": num(w.AirTemp), "p_amb": num(w.Pressure), "rh": num(w.Humidity), "headwind_mean": num(w.Headwind)}}
	for _, v := range []struct {
		name string
		seed uint64
	}{{"same_execution", r.seed}, {"new_execution", xrand.Sub(r.seed, "new/"+pl.ID)}} {
		s := c.again(one{o: o, seed: v.seed}, func(p *plan) { p.start = r.p.start })
		j := likeCounterfactual(s, c)
		if x := s.outcome(c); x.Trap > 0 && base.Trap > 0 {
			j["trap_change"] = num(x.Trap - base.Trap)
		}
		out[v.name] = j
	}
	return out
}
