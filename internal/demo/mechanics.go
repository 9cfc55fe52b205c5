package demo

import "math"

// Energy is the book of a run, J.
type Energy struct {
	CrankWork   float64 // J, brake work at the crank
	KineticGain float64 // J, of car, wheels, shafts and engine
	SpringGain  float64 // J, in the twisted shafts
	Clutch      float64 // J
	Gear        float64 // J, mesh, spin, synchronisers and dog impacts
	Tyre        float64 // J, sliding and carcass
	Roll        float64 // J
	Aero        float64 // J
	Grade       float64 // J
	Brake       float64 // J
	Damp        float64 // J, shaft damping
}

// Residual is the work that the book cannot place, J.
func (e Energy) Residual() float64 {
	return e.CrankWork - e.KineticGain - e.SpringGain - e.Clutch - e.Gear - e.Tyre - e.Roll - e.Aero - e.Grade - e.Brake - e.Damp
}

// mechanics advances engine, driveline, wheels and body by h: forces from the
// present state, then speeds, then angles with the new speeds (semi-implicit
// Euler). All work is booked at the mean of old and new speed, which makes the
// book of every inertia exact.
func (s *sim) mechanics(h float64) {
	p := s.plan
	s.wheelLoads()
	rel := s.v + s.wind()
	yaw := s.air.Crosswind / max(math.Abs(rel), 8)
	cda := p.cda * (1 + p.yawDrag*yaw*yaw)
	aero := 0.5 * p.rho * cda * rel * math.Abs(rel)
	if p.ideal.drag {
		aero = 0
	}
	crr := (p.crr0 + p.crrv*s.v*s.v) * soft(s.v, 0.05)
	ftyre, mroll, r := s.tyreForce(h)

	// Driveline: shaft torque is twist times stiffness plus damping.
	spring := p.shaftK * s.twist
	damp := p.shaftC * (s.wD - s.wW)
	shaft := spring + damp
	s.hub = shaft
	wE0, wIn0, wD0, wW0, v0 := s.wE, s.wIn, s.wD, s.wW, s.v
	s.shaftSide(shaft, h)

	// Wheels.
	bt := s.brakeTorque()
	net := shaft - ftyre*r - mroll
	if bt > 0 && math.Abs(s.wW) < 0.3 && math.Abs(net) < bt {
		s.wW = 0
		if wW0 != 0 {
			s.energy.Brake += 0.5 * p.jDriven * wW0 * wW0
			s.energy.KineticGain -= 0.5 * p.jDriven * wW0 * wW0
		}
	} else {
		bt *= soft(s.wW, 0.3)
		s.wW += h * (net - bt) / p.jDriven
		wm := (s.wW + wW0) / 2
		s.energy.Brake += bt * wm * h
		s.energy.KineticGain += 0.5 * p.jDriven * (s.wW*s.wW - wW0*wW0)
	}

	// Body, with the undriven wheels' inertia.
	meq := p.mass + p.jUndriven/(p.r0*p.r0)
	und := 0.0
	switch p.driven {
	case frontDriven:
		und = s.load.r
	case rearDriven:
		und = s.load.f
	}
	slope := p.mass * grav * p.strip.Grade * soft(s.v, 0.05)
	bf := s.brakeForce(und)
	force := ftyre - aero - crr*und - slope
	if bf > 0 && math.Abs(s.v) < 0.02 && math.Abs(force) < bf {
		s.energy.Brake += 0.5 * meq * s.v * s.v
		s.energy.KineticGain -= 0.5 * meq * s.v * s.v
		s.v, s.a = 0, 0
	} else {
		bf *= soft(s.v, 0.05)
		s.a = (force - bf) / meq
		s.v += h * s.a
	}
	vm := (s.v + v0) / 2
	s.x += h * s.v
	s.load.force = ftyre

	wDm, wWm := (s.wD+wD0)/2, (s.wW+wW0)/2
	s.twist += h * (s.wD - s.wW)
	s.angD += h * s.wW
	if s.drv.lineLock {
		// undriven wheels are held
	} else {
		s.angU += h * s.v / s.undrivenRadius()
	}

	e := &s.energy
	e.CrankWork += s.eng.torque * (s.wE + wE0) / 2 * h
	e.KineticGain += 0.5 * (p.jEngine*(s.wE*s.wE-wE0*wE0) + p.jInput*(s.wIn*s.wIn-wIn0*wIn0) +
		p.jOut*(s.wD*s.wD-wD0*wD0))
	if vm != 0 || s.v != v0 {
		e.KineticGain += 0.5 * meq * (s.v*s.v - v0*v0)
	}
	e.Damp += damp * (wDm - wWm) * h
	e.SpringGain += spring * (wDm - wWm) * h
	e.Tyre += ftyre * (wWm*r - vm) * h
	e.Roll += (crr*und*vm + mroll*wWm) * h
	e.Aero += aero * vm * h
	e.Grade += slope * vm * h
	e.Brake += bf * vm * h

	// The body's lean follows acceleration as a damped mass.
	w := 2 * math.Pi * p.pitchFreq
	s.leanRate += h * (w*w*(s.a-s.lean) - 2*p.pitchDamp*w*s.leanRate)
	s.lean += h * s.leanRate
}

func (s *sim) brakeTorque() float64 {
	if s.brake <= 0 || s.drv.lineLock {
		return 0
	}
	share := 0.35
	switch s.driven {
	case frontDriven:
		share = 0.65
	case allDriven:
		share = 1
	}
	return s.brake * share * 0.9 * s.mass * grav * s.r0
}

func (s *sim) brakeForce(load float64) float64 {
	if s.drv.lineLock {
		return 1.1 * load
	}
	if s.brake <= 0 || s.driven == allDriven {
		return 0
	}
	share := 0.65
	if s.driven == frontDriven {
		share = 0.35
	}
	return min(s.brake*share*0.9*s.mass*grav, 0.95*load)
}
