package demo

import "math"

// wheelLoads sets the load of each axle: static, moved by acceleration (a part
// of it only as the body leans), by drag at the centre of gravity, and by lift.
func (s *sim) wheelLoads() {
	p := s.plan
	w := p.mass * grav
	rel := s.v + s.wind()
	q := 0.5 * p.rho * rel * math.Abs(rel)
	am := p.directShare*s.a + (1-p.directShare)*s.lean
	tr := (p.mass*am + q*p.cda) * p.hcg / p.wheelbase
	s.load.f = max(p.wf*w-tr+q*p.clf, 60)
	s.load.r = max((1-p.wf)*w+tr+q*p.clr, 60)
	switch p.driven {
	case frontDriven:
		s.load.driven = s.load.f
	case rearDriven:
		s.load.driven = s.load.r
	default:
		s.load.driven = s.load.f + s.load.r
	}
}

// tyreForce advances the carcass of the driven tyres and returns the sum of
// their longitudinal force, the rolling resistance moment and the effective
// rolling radius.
func (s *sim) tyreForce(h float64) (force, mroll, r float64) {
	p := s.plan
	axles := [2]float64{s.load.f, s.load.r}
	lo, hi := 0, 2
	switch p.driven {
	case frontDriven:
		hi = 1
	case rearDriven:
		lo = 1
	}
	grip := s.gripNow()
	crr := (p.crr0 + p.crrv*s.v*s.v) * soft(s.wW, 0.2)
	crr += 0.02 * s.fx.tyre * soft(s.wW, 0.2)
	wsum := 0.0
	for i := lo; i < hi; i++ {
		fz := axles[i]
		ri := s.radius(s.wW, fz)
		s.load.rEff[i] = ri
		r += ri * fz
		wsum += fz
	}
	r /= wsum
	vs := s.wW*r - s.v
	roll := max(math.Abs(s.wW*r), math.Abs(s.v))
	for i := lo; i < hi; i++ {
		fz := axles[i]
		sl := s.defl[i] / p.relax
		sig := p.relax * (0.4 + 0.6*math.Exp(-2.5*math.Abs(sl)*p.stiff/(3*p.mu0)))
		if p.ideal.traction {
			sig = 0.1
		}
		s.defl[i] = (s.defl[i] + h*vs*p.relax/sig) / (1 + h*roll/sig)
		sl = clamp(s.defl[i]/p.relax, -1, 1)
		s.defl[i] = sl * p.relax
		f := fz * p.friction(sl, vs, fz, grip)
		x := p.stiff * math.Abs(sl) / (3 * p.mu0)
		f += fz * 1.2 * clamp(vs, -1, 1) * max(0, 1-x) / (1 + s.v*s.v/4)
		force += f
	}
	s.load.slip = 0
	if s.v > 0.5 {
		s.load.slip = vs / s.v
	}
	return force, crr * wsum * r, r
}

// friction is the force over load of a brush tyre at wheel-based slip sl
// ((ωr − v)/ωr, carcass included), sliding speed vs and load fz: the parabolic
// brush rises to full sliding at three times mu over stiffness; the friction
// itself falls with sliding speed.
func (p *tyre) friction(sl, vs, fz, grip float64) float64 {
	mu := p.mu0 * grip * lessLoad.at(fz/p.fzRef)
	g := mu * p.law.slide(p, vs)
	th := p.stiff * grip / max(grip, 1) * math.Abs(sl) / (3 * g)
	if grip > 2 { // tyres that do not slip are stiffer as well
		th *= grip
	}
	return sign(sl) * g * p.law.hold(th)
}

// pastPeak tells whether the driven tyres would pull harder with less slip: friction falls
// with sliding speed, so that the peak lies at less slip the faster the car goes.
func (s *sim) pastPeak() bool {
	const least, more = 0.03, 0.002 // 1, of slip
	if s.load.slip < least {
		return false
	}
	grip := s.gripNow()
	force := func(slip float64) float64 {
		sum, p := 0.0, s.plan
		if p.driven != rearDriven {
			sum += s.load.f * p.friction(slip/(1+slip), slip*s.v, s.load.f, grip)
		}
		if p.driven != frontDriven {
			sum += s.load.r * p.friction(slip/(1+slip), slip*s.v, s.load.r, grip)
		}
		return sum
	}
	return force(s.load.slip+more) < force(s.load.slip)
}

// gripNow is the multiplier of friction here and now: strip, tread heat and
// tyre pressure.
func (s *sim) gripNow() float64 {
	g := s.grip.at(s.x) * s.treadGrip()
	if s.ideal.traction {
		g *= 4
	}
	if s.drv.lineLock { // the burnout is done on water
		g *= 0.4
	}
	return g
}

func (s *sim) treadGrip() float64 {
	p := s.plan
	dt := (s.tTread - p.tOpt) / p.tWidth
	hot := s.pressureHot() - p.pOpt
	return (1 - 0.5*dt*dt/(1+0.5*dt*dt)) * (1 - p.pSens*(hot/1e5)*(hot/1e5)) * (1 - 0.05*s.fx.tyre)
}

// pressureHot is the driven tyres' gauge pressure now, Pa.
func (s *sim) pressureHot() float64 {
	cold := s.set.ColdPressure
	return (cold+s.air.Pressure)*(1+0.35*(s.tTread-s.air.AirTemp)/s.air.AirTemp) - s.air.Pressure
}

// radius is the effective rolling radius of a driven tyre.
func (s *sim) radius(w, fz float64) float64 {
	p := s.plan
	vt := w * p.r0
	g := p.grow * (1 - p.pGrow*(s.set.ColdPressure-p.pCold)/1e5)
	return p.r0 * (1 + g*vt*vt - p.deflect*(fz/p.fzRef-1) - 0.045*s.fx.tyre)
}

func (s *sim) undrivenRadius() float64 {
	vt := s.v
	return s.r0 * (1 + s.undrivenRadiusOff) * (1 + 0.55*s.grow*vt*vt)
}
