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

// speeds are what a step changes: rad/s of engine, input shaft, driven side of
// the shafts and driven wheels, and m/s of the body.
type speeds struct{ engine, input, shaft, wheel, body float64 }

func (s *sim) speeds() speeds { return speeds{s.wE, s.wIn, s.wD, s.wW, s.v} }

// forces act on wheels and body during a step.
type forces struct {
	spring, damp float64 // N·m in the shafts, by their twist and by its rate
	tyre         float64 // N, of the driven tyres
	radius       float64 // m
	rollDriven   float64 // N·m, the driven wheels' rolling resistance
	roll         float64 // N, the undriven wheels'
	aero, grade  float64 // N
	brake        float64 // N at the undriven wheels
}

// mechanics advances engine, driveline, wheels and body by h: forces from the
// present state, then speeds, then angles with the new speeds (semi-implicit
// Euler). All work is booked at the mean of old and new speed, which makes the
// book of every inertia exact.
func (s *sim) mechanics(h float64) {
	p := s.plan
	s.wheelLoads()
	f := s.forces(h)
	s.hub = f.spring + f.damp
	was := s.speeds()
	s.shaftSide(s.hub, h)
	s.turnWheels(f, was, h)
	s.moveBody(&f, h)
	s.load.force = f.tyre

	s.x += h * s.v
	s.twist += h * (s.wD - s.wW)
	s.angD += h * s.wW
	if !s.drv.lineLock { // it holds the undriven wheels
		s.angU += h * s.v / s.undrivenRadius()
	}
	s.book(f, was, h)

	// The body's lean follows acceleration as a damped mass.
	w := 2 * math.Pi * p.pitchFreq
	s.leanRate += h * (w*w*(s.a-s.lean) - 2*p.pitchDamp*w*s.leanRate)
	s.lean += h * s.leanRate
}

// forces are those of the present state; the brakes' follow with the speeds.
func (s *sim) forces(h float64) forces {
	p := s.plan
	var f forces
	rel := s.v + s.wind()
	yaw := s.air.Crosswind / max(math.Abs(rel), 8)
	cda := p.cda * p.law.shape(rel) * (1 + p.yawDrag*yaw*yaw)
	if !p.ideal.drag {
		f.aero = 0.5 * p.rho * cda * rel * math.Abs(rel)
	}
	crr := (p.crr0 + p.crrv*s.v*s.v) * soft(s.v, 0.05)
	f.roll = crr * s.undrivenLoad()
	f.grade = p.mass * grav * p.strip.Grade * soft(s.v, 0.05)
	f.tyre, f.rollDriven, f.radius = s.tyreForce(h)
	// shaft torque is twist times stiffness plus damping
	f.spring = p.shaftK * s.twist
	f.damp = p.shaftC * (s.wD - s.wW)
	return f
}

// undrivenLoad is the load on the undriven axle, N.
func (s *sim) undrivenLoad() float64 {
	switch s.driven {
	case frontDriven:
		return s.load.r
	case rearDriven:
		return s.load.f
	}
	return 0
}

// turnWheels gives the driven wheels their new speed, and books it.
func (s *sim) turnWheels(f forces, was speeds, h float64) {
	j := s.plan.jDriven
	bt := s.brakeTorque()
	net := s.hub - f.tyre*f.radius - f.rollDriven
	if bt > 0 && math.Abs(s.wW) < 0.3 && math.Abs(net) < bt {
		s.wW = 0
		if was.wheel != 0 {
			s.energy.Brake += 0.5 * j * was.wheel * was.wheel
			s.energy.KineticGain -= 0.5 * j * was.wheel * was.wheel
		}
		return
	}
	bt *= soft(s.wW, 0.3)
	s.wW += h * (net - bt) / j
	s.energy.Brake += bt * ((s.wW + was.wheel) / 2) * h
	s.energy.KineticGain += 0.5 * j * (s.wW*s.wW - was.wheel*was.wheel)
}

// bodyMass is the car's mass with the undriven wheels' inertia, kg.
func (s *sim) bodyMass() float64 { return s.plan.mass + s.plan.jUndriven/(s.plan.r0*s.plan.r0) }

// moveBody gives the body its new speed, and f the brakes' force.
func (s *sim) moveBody(f *forces, h float64) {
	meq := s.bodyMass()
	f.brake = s.brakeForce(s.undrivenLoad())
	force := f.tyre - f.aero - f.roll - f.grade
	if f.brake > 0 && math.Abs(s.v) < 0.02 && math.Abs(force) < f.brake {
		s.energy.Brake += 0.5 * meq * s.v * s.v
		s.energy.KineticGain -= 0.5 * meq * s.v * s.v
		s.v, s.a = 0, 0
		return
	}
	f.brake *= soft(s.v, 0.05)
	s.a = (force - f.brake) / meq
	s.v += h * s.a
}

// book books the work of a step, but for what the driven wheels' change of
// speed took.
func (s *sim) book(f forces, was speeds, h float64) {
	p, e := s.plan, &s.energy
	v := (s.v + was.body) / 2
	shaft, wheel := (s.wD+was.shaft)/2, (s.wW+was.wheel)/2
	e.CrankWork += s.eng.torque * (s.wE + was.engine) / 2 * h
	e.KineticGain += 0.5 * (p.jEngine*(s.wE*s.wE-was.engine*was.engine) + p.jInput*(s.wIn*s.wIn-was.input*was.input) +
		p.jOut*(s.wD*s.wD-was.shaft*was.shaft))
	if v != 0 || s.v != was.body {
		e.KineticGain += 0.5 * s.bodyMass() * (s.v*s.v - was.body*was.body)
	}
	e.Damp += f.damp * (shaft - wheel) * h
	e.SpringGain += f.spring * (shaft - wheel) * h
	e.Tyre += f.tyre * (wheel*f.radius - v) * h
	e.Roll += (f.roll*v + f.rollDriven*wheel) * h
	e.Aero += f.aero * v * h
	e.Grade += f.grade * v * h
	e.Brake += f.brake * v * h
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
