package demo

import "math"

// combustion computes fuel, mixture, ignition and the crank's torque from the
// air that the cylinders take now.
func (s *sim) combustion() {
	p := s.plan
	w := max(s.wE, 20)
	air := s.flow.air*p.oxygen + n2oAir*s.flow.engine*s.n2oShare // as oxygen
	released := s.mixture(air, s.inject(air, w))
	boost := s.pM - p.air.Pressure
	n := w / 100
	ign, mbt := s.ignition(boost, n)
	s.eng.ign, s.eng.mbt = ign, mbt
	d := mbt - ign
	ignEff := max(p.law.late(d), 0.15)

	fire := (1 - s.cut) * (1 - s.fx.cylLoss) * (1 - s.misfireNow(boost))
	energy := air / p.fuel.afr * p.fuel.lhv * released
	energy += n2oHeat * s.flow.engine * s.n2oShare
	eta := p.etaInd * (1 - 0.05*(3/max(n, 1))) * ignEff
	ind := energy * eta * fire / w
	pump := (s.pM - s.pE) * p.vd / (4 * math.Pi)
	cold := 1 + 0.004*max(363-s.tOil, -20)
	fr := p.law.rub(&p.engine, w, s.pM) * p.vd / (4 * math.Pi) * cold
	s.eng.indicated = ind * (1 + p.torqueNoise*s.noiseT)
	s.eng.torque = s.eng.indicated + pump - fr
	if s.wE < 0.6*p.idle { // the starter's job; no run stalls
		s.eng.torque += 120
	}
	s.warmExhaust(energy, d)
}

// inject is the fuel that the engine gets, kg/s: the computer asks for it by the
// air it believes in and opens the injectors for the pressure it believes in.
// w is the engine speed, rad/s.
func (s *sim) inject(air, w float64) float64 {
	p := s.plan
	f := p.fuel
	ask := air / (f.afr * s.lambdaTarget()) * (1 + s.trim)
	if s.drv.fuelOff && s.wE > 1.4*p.idle {
		ask = 0
	}
	across := max(s.rail+p.air.Pressure-s.pM, 1e4)
	assumed := p.basePress
	if p.compRail {
		assumed = across
	}
	full := p.injFlow * f.density
	duty := ask / (full * math.Sqrt(assumed/p.basePress))
	// The computer allows for late opening down to 12.8 V and no further.
	dead := 0.0006 * max(12.8-s.volts, 0) * w / (4 * math.Pi)
	s.dutyInj = clamp(duty, 0, 0.99)
	bank := s.banks()
	s.flow.wanted = max(clamp(ask/full, 0, 0.99)-dead, 0) * full * (1 - s.fx.lean) * (bank[0] + bank[1]) / 2
	return max(s.dutyInj-dead, 0) * full * math.Sqrt(across/p.basePress) * (1 - s.fx.lean)
}

// banks is the share of its fuel that each bank gets.
func (s *sim) banks() [2]float64 {
	lean := 1 - s.fx.leanBank
	if s.plan.banks == 1 {
		return [2]float64{lean, lean}
	}
	return [2]float64{lean, 1}
}

// mixture sets each bank's lambda from air and fuel, kg/s, and returns the share
// of the fuel's energy that is set free.
func (s *sim) mixture(air, give float64) float64 {
	bank := s.banks()
	s.flow.fuel = give * (bank[0] + bank[1]) / 2
	released := 0.0
	for b := range bank {
		lam := 3.0
		if give > 1e-7 {
			lam = air / (s.plan.fuel.afr * give * bank[b])
		}
		lam = clamp(lam, 0.5, 3)
		s.lam[b] = lam
		released += 0.5 * burn(lam)
	}
	return released
}

// ignition is the angle that the computer sets and the one of most torque,
// degrees before top dead centre, at a boost in Pa and an engine speed in
// hundreds of rad/s. Knock is drawn on the way.
func (s *sim) ignition(boost, n float64) (ign, mbt float64) {
	p := s.plan
	mbt = p.mbt0 + 1.35*(n-3) - 4.2*(s.pM/1e5-1)
	ign = p.ignBase + 1.35*(n-3) - p.ignBoost*max(boost, -40e3)/1e5
	ign -= p.law.warm(s.tChg)
	ign -= 40 * s.n2oShare * 0.6
	ign = min(ign, mbt)
	limit := ign + 3.2 - 0.14*max(s.tChg-326, -10) - s.fx.octane + p.fuel.octane*0.05
	if s.lam[0] > 0.95 && boost > 50e3 {
		limit -= 30 * (s.lam[0] - 0.95)
	}
	ign -= s.knockRetard + s.retard
	s.knockRisk(ign-limit, boost)
	return ign, mbt
}

// warmExhaust warms the exhaust gas by what of the fuel's energy (W) went neither to
// the piston nor to the water; late burning, degrees after that of most torque,
// sends more.
func (s *sim) warmExhaust(energy, late float64) {
	p := s.plan
	share := p.exShare + 0.0045*late + 0.4*s.n2oShare
	q := energy / max(s.flow.engine+s.flow.fuel, 1e-5)
	if s.cut > 0 {
		share += 0.25 * s.cut * (1 - s.cut) // some burns in the manifold
		q *= 1 - 0.8*s.cut*s.cut
	}
	tex := clamp(s.intakeTemp()+q*share/cpEx, 500, 1420)
	s.tEx += (tex - s.tEx) * s.h / 0.12
}

// burn is the share of the oxygen-limited energy that is released at a mixture:
// best slightly rich, falling when very rich, and by the fuel at hand when lean.
func burn(lam float64) float64 {
	if lam < 0.88 {
		d := 0.88 - lam
		return max(1-0.9*d*d-0.05*d, 0.3)
	}
	if lam <= 1.02 {
		return 1 - 0.35*(lam-0.88)
	}
	return max((1-0.049)*1.02/lam-max(lam-1.25, 0)*2.2, 0)
}

func (s *sim) lambdaTarget() float64 {
	boost := s.pM - s.air.Pressure
	return 1 + (s.lambdaWot-1)*clamp((boost+25e3)/80e3, 0, 1)
}

// misfireNow is the share of ignitions that fail at this moment: none in a
// healthy engine, more as pressure in the cylinder outgrows the spark.
func (s *sim) misfireNow(boost float64) float64 {
	if s.fx.misfire == 0 || boost < 30e3 {
		return 0
	}
	return clamp(s.fx.misfire*(boost/150e3)*(1+1.2*s.noiseT), 0, 0.9)
}

// knockRisk draws knock events: their rate doubles every half degree beyond
// the limit, and each makes a pulse that the sensors hear and the engine
// computer answers by retarding.
func (s *sim) knockRisk(over, boost float64) {
	r := s.noise.Float64() // drawn always, so that runs with common seeds stay alike
	s.knockPulse *= 0.965
	s.knockRetard = max(0, s.knockRetard-s.law.calm*s.h)
	if boost < 10e3 || s.cut > 0.3 || s.throttle < 0.5 {
		return
	}
	cycles := s.wE / (4 * math.Pi) * s.h * float64(s.cyl)
	rate := cycles * 3e-4
	if over < 0 && r > rate { // the usual case, without the costly power
		return
	}
	rate *= math.Exp2(2 * clamp(over, -8, 6))
	if r < rate {
		strength := -math.Log(r/rate + 1e-9) // exponential, given that it happened
		s.knockPulse = max(s.knockPulse, 0.25+0.35*strength*(1+max(over, 0)*0.25))
		s.knockRetard = min(s.knockRetard+s.law.strike, 7)
		s.knocks++
	}
}
