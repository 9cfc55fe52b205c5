package demo

import "math"

// control is the engine computer's work in h: limiters, slip cut, throttle
// plate, boost, nitrous, idle.
func (s *sim) control(h float64) {
	p := s.plan
	d := &s.drv
	ask := 0.0
	if d.shifting {
		ask = s.cutAsk
	}
	s.cutAsk = 0
	s.retard = 0
	// Launch limiter: holds the speed by cutting, burns late to feed the
	// turbine.
	limit := p.revLimit
	if d.phase == phArm {
		limit = s.set.LaunchSpeed * s.hand.launch
		s.retard = 16
	}
	over := (s.wE - limit + 4) / 10
	ask = max(ask, clamp(over, 0, 1))
	s.limiting = over > 0.1 && d.phase == phRun && !d.shifting
	// Slip cut.
	toward(&s.slipSensed, s.load.slip, 0.018, h)
	sc := 0.0
	if s.set.SlipCut && d.phase == phRun && s.v > 3 && !s.ideal.traction {
		sc = clamp(p.slipCutGain*(s.slipSensed-p.slipCutAt), 0, 0.75)
		ask = max(ask, sc)
	}
	s.out.noteCut(sc > 0.05, s.limiting, h)
	toward(&s.cut, ask, 0.005, h)

	plate := min(s.pedal, 1-s.fx.throttle)
	toward(&s.throttle, plate, 0.022, h)

	s.boostControl(h)
	s.nitrous(h)

	// Idle: air bypass by speed; held open somewhat on the overrun.
	if s.drv.fuelOff || s.wE > 2.2*p.idle && d.phase != phRest {
		s.idleAir = 0.016
	} else if s.pedal < 0.03 {
		aim := p.idle + p.moods.aim
		s.idleI = clamp(s.idleI+h*2e-5*(aim-s.wE), 0.0015, 0.02)
		s.idleAir = clamp(s.idleI+1.2e-4*(aim-s.wE), 0.0008, 0.03)
	}
	// Mixture trim: slow, and only as far as it is let.
	if s.fuelActive() {
		err := s.lam[0]/s.lambdaTarget() - 1
		s.trim = clamp(s.trim+h*p.trimSpeed*clamp(err, -0.1, 0.1), -0.05, 0.05)
	}
}

func (s *sim) fuelActive() bool { return !s.drv.fuelOff && s.cut < 0.1 && s.throttle > 0.2 }

// targetFor is the gauge boost wanted in gear g, Pa: a computer that holds
// absolute pressure does not hold gauge when the barometer changes.
func (p *plan) targetFor(g int) float64 {
	if g < 1 {
		return 0
	}
	b := p.set.Boost[min(g, len(p.set.Boost))-1]
	if p.absolute {
		b += 101300 - p.air.Pressure
	}
	return b
}

// targetAt is the same at the engine's speed, where the target goes with that.
func (s *sim) targetAt(g int) float64 {
	t := s.targetFor(g)
	if g < 1 || g > len(s.set.Courses) {
		return t
	}
	c := &s.set.Courses[g-1]
	if c.Speed[1] <= c.Speed[0] {
		return t
	}
	along := clamp((s.wE-c.Speed[0])/(c.Speed[1]-c.Speed[0]), 0, 1)
	return t + c.Boost[0] + along*(c.Boost[1]-c.Boost[0]) - s.set.Boost[min(g, len(s.set.Boost))-1]
}

func (s *sim) boostControl(h float64) {
	p := s.plan
	g := s.gear
	if s.drv.shifting {
		g = s.drv.shift.to
		if s.gear == s.drv.shift.from {
			g = s.drv.shift.from
		}
	}
	target := s.targetAt(g)
	if s.drv.phase == phArm {
		target = min(target, p.launchBoost)
	}
	if s.drv.phase < phArm || s.drv.phase == phCoast || s.drv.phase == phRest {
		target = 0
	}
	s.lastBoostTarget = target
	err := target - (s.pB - p.air.Pressure)
	ff := 0.0
	if target > 1e3 {
		ff = (1 - (p.gateSpring+0.35*p.gateRange-p.gateAssist*1.15*target)/target) / p.gateBleed
	}
	if s.throttle > 0.7 && math.Abs(err) < 60e3 {
		s.dutyI = clamp(s.dutyI+p.ctlI*err*h, -0.35, 0.35)
	} else if s.throttle < 0.3 {
		s.dutyI *= 1 - min(2*h, 1)
	}
	want := clamp(clamp(ff, 0, 1)+p.ctlP*err+s.dutyI, 0, 1)
	s.duty += clamp(want-s.duty, -p.ctlRate*h, p.ctlRate*h)
}

// nitrous opens while boost is short of its target at full throttle.
func (s *sim) nitrous(h float64) {
	p := s.plan
	on := false
	if s.set.Nitrous && p.n2oFlow > 0 && s.drv.phase == phRun && s.throttle > 0.6 && s.cut < 0.2 && s.wE > 300 && s.clutch > 0.6 && s.gear > 0 {
		short := s.lastBoostTarget - s.boostGauge()
		if s.n2oOn {
			on = short > 0.3*p.n2oBelow
		} else {
			on = short > p.n2oBelow
		}
		if len(p.n2oGears) > 0 {
			in := false
			for _, g := range p.n2oGears {
				in = in || g == s.gear
			}
			on = on && in
		}
	}
	s.n2oOn = on
	want := 0.0
	if on {
		want = p.n2oFlow * math.Sqrt(clamp(s.bottle/6.2e6, 0, 1.5)) * (1 - s.fx.n2o)
	}
	toward(&s.flow.n2o, want, 0.035, h)
	s.n2oKg += s.flow.n2o * h
	s.bottle -= s.flow.n2o * h * p.bottleHeat
}
