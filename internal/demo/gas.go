package demo

import "math"

// gas advances the three gas volumes, the compressor's air column, the rotor
// and the wastegate by h. The intake is stiff (a wide open throttle couples
// plenum and manifold within a step), hence linearly implicit Euler steps.
func (s *sim) gas(h float64) {
	wheel := s.compress(h)
	s.intake(&wheel, h)
	turbine := s.exhaust(h)
	w := max(s.wT, 300)
	s.wT = max(300, s.wT+h*((turbine-wheel.power)/w-s.bearing*w)/s.jRotor)

	// Gate: spring against boost on the diaphragm, bled by the solenoid, and
	// exhaust pressure on the valve.
	p := s.plan
	p0 := p.air.Pressure
	lift := ((s.pB-p0)*(1-p.gateBleed*s.duty) + p.gateAssist*(s.pE-p0) - p.gateSpring) / p.gateRange
	lift = clamp(lift, 0, 1)
	lift = clamp(lift, s.fx.gateLeak, 1-s.fx.gateStick)
	toward(&s.gate, lift, p.gateLag, h)
}

// wheel is what one compressor does.
type wheel struct {
	after float64 // Pa, behind the cooler
	slope float64 // Pa·s/kg, of after over the flow
	power float64 // W
}

// compress works the compressor out: its pressure rise from the flow coefficient at blade speed.
func (s *sim) compress(h float64) wheel {
	p := s.plan
	n := float64(p.turbos)
	tIn := p.air.AirTemp + s.tHood
	p1 := p.air.Pressure - p.filterLoss*(1+s.fx.inlet)*n*n*s.mC*math.Abs(s.mC)
	u := s.wT * p.compRadius
	rho1 := p1 / (rAir * tIn)
	area := math.Pi * p.compRadius * p.compRadius
	phi, dphi := 0.0, 0.0
	if u > 1 {
		dphi = 1 / (rho1 * u * area)
		phi = s.mC * dphi
	}
	mach := u / math.Sqrt(gamAir*rAir*tIn)
	ps, dps := p.compressor(phi, mach)
	hs := max(ps, -0.5) * u * u / (cpAir * tIn)
	up, dup := liftComp.slope(hs)
	work := (0.80 - 0.85*phi + 0.012/max(phi, 0.03)) * p.law.churn(mach) * u * u // J/kg, Euler work with windage
	s.flow.comp = n * s.mC
	if !p.ideal.boost {
		toward(&s.tComp, clamp(tIn+work/cpAir*clamp(s.mC/0.01, 0, 1), tIn, 620), 0.08, h)
	}
	return wheel{
		after: p1*up - p.coolerLoss*n*n*s.mC*math.Abs(s.mC),
		slope: p1*dup*dps*dphi*u*u/(cpAir*tIn) - 2*p.coolerLoss*n*n*math.Abs(s.mC) - 2*p.filterLoss*n*n*math.Abs(s.mC),
		power: max(s.mC, 0) * work,
	}
}

// intake advances the air column, the plenum, which is cooled air, and the manifold together:
// one linearly implicit step with the whole Jacobian, solved by elimination.
func (s *sim) intake(c *wheel, h float64) {
	p := s.plan
	p0 := p.air.Pressure
	n := float64(p.turbos)

	// Throttle, bypass, leak.
	sq := 1 / math.Sqrt(rAir*s.tChg)
	at := p.throttleArea*(1-math.Cos(s.throttle*math.Pi/2)) + p.throttleArea*s.idleAir
	mThr, dUp, dDn := nozzle(psiAir, at*sq, s.pB, s.pM)
	byp := p.bypassArea * clamp((s.pB-s.pM-p.bypassSpring)/20e3, 0, 1)
	mByp, dByp, _ := nozzle(psiAir, byp*sq, s.pB, p0)
	mLeak, dLeak, _ := nozzle(psiAir, s.fx.hole*0.8*sq, s.pB, p0)
	mIn0, _, dIn0 := nozzle(psiAir, s.fx.holeManifold*0.8*sq, p0, s.pM)

	tm := s.intakeTemp()
	ke := s.breathing(tm)
	mEng := ke * s.pM
	mN := s.flow.n2o
	cM := h * rAir * tm / p.vManifold
	netM := mThr + mIn0 + mN*rN2O/rAir - mEng
	if p.ideal.boost {
		s.lagFree(h)
		s.pM += cM * netM / (1 + cM*(dDn+dIn0+ke))
	} else {
		hk := h * p.ductArea / p.ductLength
		cB := h * rAir * s.tChg / p.vPlenum
		den := 1 - hk*min(c.slope, 0)
		dm0 := hk * (c.after - s.pB) / den // without the plenum's answer
		m11 := 1 + cB*(dUp+dByp+dLeak) + cB*n*hk/den
		m12 := -cB * dDn
		m21 := -cM * dUp
		m22 := 1 + cM*(dDn+dIn0+ke)
		r1 := cB * (n*(s.mC+dm0) - mThr - mByp - mLeak)
		r2 := cM * netM
		det := m11*m22 - m12*m21
		dB := (r1*m22 - m12*r2) / det
		dM := (m11*r2 - m21*r1) / det
		s.mC = clamp(s.mC+dm0-hk*dB/den, -0.2, 2)
		s.pB += dB
		s.pM += dM
	}
	s.pB = max(s.pB, 0.5*p0)
	s.pM = max(s.pM, 8e3)
	s.flow.throttle, s.flow.bypass, s.flow.leak = mThr, mByp, mLeak
	toward(&s.n2oShare, mN/max(mN+mThr, 1e-4), 0.02, h)
	s.flow.engine = mEng
	s.flow.air = mEng * (1 - s.n2oShare)
}

// breathing is the engine's flow over the manifold's pressure, kg/(s·Pa), at a temperature there, K.
func (s *sim) breathing(tm float64) float64 {
	p := s.plan
	res := (p.rc - pow077.at(s.pE/max(s.pM, 5e3))) / (p.rc - 1)
	ve := p.veAt(s.wE) * clamp(res, 0.3, 1.05)
	s.eng.ve = ve
	return ve * p.vd * s.wE / (4 * math.Pi * rAir * tm)
}

// exhaust advances the volume before the turbines, which pass by the cone law, and the gate, a
// nozzle. It returns the power of one turbine, W.
func (s *sim) exhaust(h float64) float64 {
	p := s.plan
	p0 := p.air.Pressure
	n := float64(p.turbos)
	p4 := p0 + p.tailLoss*s.flow.engine*s.flow.engine
	pr := max(s.pE/p4, 1)
	sqe := 1 / math.Sqrt(rEx*s.tEx)
	cone := math.Sqrt(max(1-1/(pr*pr), 0))
	at4 := p.turbArea * (1 - s.fx.choke) * n
	mT := at4 * sqe * s.pE * cone
	dT := at4 * sqe / max(cone, 0.1)
	mG, dG, _ := nozzle(psiEx, p.gateArea*s.gate*sqe, s.pE, p4)
	if !p.ideal.boost {
		ce := h * rEx * s.tEx / p.vExhaust
		s.pE += ce * (s.flow.engine + s.flow.fuel - mT - mG) / (1 + ce*(dT+dG))
	}
	s.pE = clamp(s.pE, p0, 12e5)
	s.flow.turbine, s.flow.gate = mT, mG

	drop := dropEx.at(pr)
	c0 := math.Sqrt(2 * cpEx * s.tEx * max(drop, 1e-4))
	bsr := s.wT * p.turbRadius / c0
	eta := p.turbEta * clamp(s.law.blades(bsr), 0.12, 1)
	return mT / n * cpEx * s.tEx * drop * eta
}

// compressor returns the isentropic work coefficient of a wheel, and its slope
// over the flow coefficient: a parabola that falls faster towards choke, and
// gently on the surge side.
func (p *airpath) compressor(phi, mach float64) (ps, dps float64) {
	top := p.compPhi * 0.48
	choke := p.compChoke * (1 - 0.22*max(mach-0.8, 0))
	m := p.compPsi * (1 - 0.10*(mach-1.1)*(mach-1.1))
	switch {
	case phi < 0:
		return m*0.75 - 6*phi, -6
	case phi < top:
		d := (top - phi) / top
		return m * (1 - 0.25*d*d), m * 0.5 * d / top
	}
	w := choke - top
	d := (phi - top) / w
	ps, dps = m*(1-0.55*d*d), -m*1.1*d/w
	if d > 0.82 {
		e := d - 0.82
		ps -= m * 6 * e * e
		dps -= m * 12 * e / w
	}
	return ps, dps
}

// nozzle is the flow from up to down (backwards when down is greater) through
// an area that is already divided by sqrt(R·T), with its slopes over the
// pressure of the first and of the second volume (both as positive drains).
func nozzle(f *table, a, p1, p2 float64) (m, d1, d2 float64) {
	if p2 > p1 {
		m, d2, d1 = nozzle(f, a, p2, p1)
		return -m, d1, d2
	}
	pr := p2 / p1
	y, dy := f.slope(pr)
	return a * p1 * y, a * (y - pr*dy), -a * dy
}

// lagFree holds the plenum at its target while the throttle is open, with the
// back-pressure and the heat that the car has at steady boost.
func (s *sim) lagFree(h float64) {
	p0 := s.air.Pressure
	target := p0 + s.lastBoostTarget
	if s.throttle < 0.5 || s.lastBoostTarget <= 0 {
		target = p0
	}
	toward(&s.pB, target, 0.012, h)
	toward(&s.pE, p0+s.ideal.back*max(s.pM-p0, 0)+2e3, 0.01, h)
	rise := (math.Pow(s.pB/p0, 1/3.5) - 1) * s.ideal.heat
	toward(&s.tComp, s.air.AirTemp*(1+rise), 0.08, h)
	s.flow.comp = s.flow.throttle
}

// intakeTemp is the temperature of the mixture as it enters the cylinders: the
// charge cooled by a part of the fuel's evaporation and by nitrous oxide.
func (s *sim) intakeTemp() float64 {
	f := s.fuel
	cool := 0.42 * f.latent / (f.afr * max(s.lam[0], 0.5) * cpAir)
	return s.tChg - min(cool, 60) - 150*s.n2oShare
}

func (e *engine) veAt(w float64) float64 {
	f := max(w, 0) / e.veStep
	i := min(int(f), len(e.ve)-2)
	return e.ve[i] + (min(f-float64(i), 1))*(e.ve[i+1]-e.ve[i])
}
