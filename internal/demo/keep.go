package demo

import "math"

// keep stores a sample.
func (s *sim) keep() {
	p := s.plan
	x := &s.fx
	boost := math.Max(s.boostGauge(), 0)
	cylLoad := s.pM
	n := float64(p.cyl)
	// Oil: the pump's flow through warm oil, held by the relief valve; the
	// pick-up draws a little air under hard acceleration.
	oil := math.Min(p.oilPerSpeed*s.wE*math.Exp(-0.018*(s.tOil-370))/(1+x.wornBearing), p.oilRelief*(1+0.02*(s.wE/800-1)))
	oil *= (1 - x.oil) * (1 - (0.01+x.oilSurge)*clamp(s.lean/grav, 0, 2))
	crank := (p.blowby*cylLoad*(0.4+0.6*s.wE/800))*(1+x.blowby) - 1.5e3*math.Exp(-s.pM/4e4)
	// Mixture as the sensors meet it: a cylinder that does not burn gives its
	// oxygen to its bank.
	l1, l2 := s.lam[0], s.lam[1]
	dead := x.cylLoss * n
	if p.banks > 1 {
		l1 += 0.45 * dead / (n / 2)
	} else {
		l1 += 0.45 * dead / n
		l2 = l1
	}
	mis := 0.5 * s.misfireNow(boost)
	l1, l2 = l1+mis, l2+mis
	if s.cut > 0.3 || s.drv.fuelOff {
		l1 += 0.8 * s.cut
		l2 += 0.8 * s.cut
	}
	ex := func(l float64) float32 { return float32(s.tEx + 420*clamp(l-s.lambdaTarget(), -0.1, 0.12)) }
	s.out.samples = append(s.out.samples, sample{
		t: s.t, x: s.x, v: s.v, angD: s.angD, angU: s.angU,
		a: float32(s.a), lean: float32(s.lean), wE: float32(s.wE), wW: float32(s.wW), wIn: float32(s.wIn),
		throttle: float32(s.throttle), pedal: float32(s.pedal), clutch: float32(s.clutch), brake: float32(s.brake), cut: float32(s.cut),
		pM: float32(s.pM), pB: float32(s.pB), pE: float32(s.pE),
		p1:  float32(p.air.Pressure - p.filterLoss*(1+x.inlet)*s.flow.comp*math.Abs(s.flow.comp)),
		hub: float32(s.hub), crank: float32(s.eng.torque), slip: float32(s.load.slip), driven: float32(s.load.driven),
		fF: float32(s.load.f), fR: float32(s.load.r), r: float32(s.rDriven()),
		rail: float32(s.rail), fuel: float32(s.flow.fuel), air: float32(s.flow.air), duty: float32(s.dutyInj),
		lam1: float32(l1), lam2: float32(l2), target: float32(s.lastBoostTarget), lamTarget: float32(s.lambdaTarget()),
		ign: float32(s.eng.ign), knock: float32(s.knockPulse),
		tChg: float32(s.tChg), tComp: float32(s.tComp), tCore: float32(s.tCore),
		tEx: float32(s.tEx), ex1: ex(s.lam[0]), ex2: ex(s.lam[1]),
		tCool: float32(s.tCool), tOil: float32(s.tOil), tBox: float32(s.tBox),
		pCool: float32(s.coolP), pOil: float32(oil), pCrank: float32(crank),
		volts: float32(s.volts), n2o: float32(s.flow.n2o), bottle: float32(s.bottle), gateDuty: float32(s.duty), gate: float32(s.gate),
		wT: float32(s.wT), tread: float32(s.tTread), pTyre: float32(s.pressureHot() * (1 - x.tyre)),
		torqueSlip: float32(s.wE - s.wIn), wind: float32(s.wind()), gear: int8(s.gear), n2oOn: s.n2oOn, locked: s.locked,
		phase: int8(s.drv.phase), mu: float32(s.gripNow()), dead: float32(x.cylLoss * n), flat: float32(x.tyre), rough: float32(12 * x.drag), trim: float32(s.trim),
	})
}

func (s *sim) rDriven() float64 {
	switch s.driven {
	case frontDriven:
		return s.load.rEff[0]
	case rearDriven:
		return s.load.rEff[1]
	}
	return (s.load.rEff[0]*s.load.f + s.load.rEff[1]*s.load.r) / (s.load.f + s.load.r)
}
