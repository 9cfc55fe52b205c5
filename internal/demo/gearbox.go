package demo

import "math"

// shaftSide advances engine, gearbox input and differential side by h under
// the shaft torque, with the clutch locked or slipping and the gear engaged or
// not, and books clutch and gear losses.
func (s *sim) shaftSide(shaft, h float64) {
	p := s.plan
	i := s.ratio(s.gear)
	cap := s.clutchCapacity()
	te := s.eng.torque
	spin := p.spin*(0.4+0.6*math.Abs(s.wIn)/800)*soft(s.wIn, 5) + s.drv.syncTorque*soft(s.wIn-s.drv.syncSpeed(s), 3)
	extra := 0.0
	if s.fx.drag > 0 {
		extra = s.fx.drag * math.Abs(shaft) * soft(s.wD, 1)
	}
	wE0, wIn0, wD0 := s.wE, s.wIn, s.wD
	if s.locked && math.Abs(s.tc) > cap {
		s.locked = false
	}
	if s.locked {
		if i > 0 {
			// One inertia behind the shaft.
			loss := (1-p.mesh)*math.Abs(s.tc)*i*soft(s.wD, 0.5) + spin*i + extra
			j := (p.jEngine+p.jInput)*i*i + p.jOut
			s.wD += h * (te*i - loss - shaft) / j
			s.wE = s.wD * i
			s.wIn = s.wE
			s.energy.Gear += loss * (s.wD + wD0) / 2 * h
		} else {
			s.wE += h * (te - spin) / (p.jEngine + p.jInput)
			s.wIn = s.wE
			s.energy.Gear += spin * (s.wE + wE0) / 2 * h
			s.freeSide(shaft, extra, h, wD0)
		}
		s.tc = te - p.jEngine*(s.wE-wE0)/h
		return
	}
	d := s.wE - s.wIn
	tc := cap * soft(d, 0.4)
	s.tc = tc
	s.wE += h * (te - tc) / p.jEngine
	if i > 0 {
		loss := (1-p.mesh)*math.Abs(tc)*i*soft(s.wD, 0.5) + spin*i + extra
		j := p.jInput*i*i + p.jOut
		s.wD += h * (tc*i - loss - shaft) / j
		s.wIn = s.wD * i
		s.energy.Gear += loss * (s.wD + wD0) / 2 * h
	} else {
		s.wIn += h * (tc - spin) / p.jInput
		s.energy.Gear += spin * (s.wIn + wIn0) / 2 * h
		s.freeSide(shaft, extra, h, wD0)
	}
	slip := tc * ((s.wE+wE0)/2 - (s.wIn+wIn0)/2) * h
	s.energy.Clutch += slip
	s.tDisc += max(slip, 0) / p.clutchHeat
	// Closed: the two sides met within this step and the clutch holds.
	if d2 := s.wE - s.wIn; s.clutch > 0.02 && (d*d2 <= 0 || math.Abs(d2) < 0.2) && math.Abs(te) < cap*0.98 {
		s.joinClutch(i)
	}
}

// freeSide advances the differential side alone, in neutral.
func (s *sim) freeSide(shaft, extra, h, wD0 float64) {
	s.wD += h * (-shaft - extra) / s.jOut
	s.energy.Gear += extra * (s.wD + wD0) / 2 * h
}

// joinClutch gives both sides of the clutch the speed that keeps their angular
// momentum, and books what kinetic energy that costs.
func (s *sim) joinClutch(i float64) {
	p := s.plan
	j1, j2, w1, w2 := p.jEngine, p.jInput, s.wE, s.wIn
	if i > 0 {
		j2 += p.jOut / (i * i)
	}
	w := (j1*w1 + j2*w2) / (j1 + j2)
	s.energy.Clutch += 0.5 * (j1*(w1*w1-w*w) + j2*(w2*w2-w*w))
	s.wE, s.wIn = w, w
	if i > 0 {
		s.wD = w / i
	}
	s.locked = true
}

// engage joins the gearbox input (with the engine when the clutch is locked)
// to the differential side in gear g, as dogs do: an impact that keeps angular
// momentum and loses energy.
func (s *sim) engage(g int) {
	p := s.plan
	i := s.ratio(g)
	s.gear = g
	if i == 0 {
		return
	}
	if s.locked && math.Abs(s.wIn-i*s.wD) > 3 {
		s.locked = false // the clutch gives way in the impact
	}
	before := 0.5*p.jInput*s.wIn*s.wIn + 0.5*p.jOut*s.wD*s.wD
	jIn := p.jInput
	if s.locked {
		before += 0.5 * p.jEngine * s.wE * s.wE
		jIn += p.jEngine
	}
	w := (jIn*i*s.wIn + p.jOut*s.wD) / (jIn*i*i + p.jOut)
	s.wD, s.wIn = w, w*i
	after := 0.5*p.jInput*s.wIn*s.wIn + 0.5*p.jOut*s.wD*s.wD
	if s.locked {
		s.wE = s.wIn
		after += 0.5 * p.jEngine * s.wE * s.wE
	}
	s.energy.Gear += before - after
	s.energy.KineticGain += after - before
}

// clutchCapacity is what the clutch can pass now, N·m.
func (s *sim) clutchCapacity() float64 {
	fade := 1 - s.clutchFade*max(s.tDisc-450, 0)/100
	return s.clutchTorque * s.clutch * max(fade, 0.3) * (1 - s.fx.clutch)
}
