package demo

import "math"

// pumpBrings is what the pump brings against a rail's pressure, Pa gauge, at the volts there
// are, m³/s.
func (s *sim) pumpBrings(rail float64) float64 {
	p := s.plan
	volt := clamp(s.volts/13.5, 0.3, 1.1)
	return p.pumpFlow * volt * (1 - s.fx.pump) * (1 - p.pumpDrop*(rail-p.basePress)/1e5)
}

// regulated is the pressure at which the regulator holds the rail, Pa gauge.
func (s *sim) regulated() float64 { return s.plan.basePress + s.pM - s.plan.air.Pressure }

// slow advances heat, fluids, the fuel rail and the fault by h (two steps).
func (s *sim) slow(h float64) {
	p := s.plan
	s.noiseT += -s.noiseT*h/0.06 + math.Sqrt(2*h/0.06)*s.out.torque.NormFloat64()
	s.faultStep()

	// Rail: the regulator holds it over the manifold while the pump can.
	q := s.flow.fuel / p.fuel.density
	reg := s.regulated()
	cap := s.pumpBrings(s.rail)
	if s.rail < reg {
		s.rail += min((cap-q)*4e10*h, (reg-s.rail)*min(h/0.008, 1))
	} else {
		toward(&s.rail, reg, 0.008, h)
		if cap < q {
			s.rail += (cap - q) * 4e10 * h
		}
	}
	s.rail = max(s.rail, 2e4)
	s.fuelKg += s.flow.fuel * h

	// Charge: core or tank, then the charge's own temperature at the outlet.
	m := max(s.flow.comp, 0.01)
	eff := p.coolerEff * (1 - s.fx.cooler) * clamp(1.08-0.16*m/(0.5*float64(p.turbos)), 0.6, 1)
	out := s.tComp - eff*(s.tComp-s.tCore)
	s.tCore += h * (m*cpAir*(s.tComp-out) - p.coolerAir*clamp(math.Abs(s.v)/50, 0.04, 1.6)*(1-s.fx.cooler)*(s.tCore-p.air.AirTemp)) / p.coolerHeat
	toward(&s.tChg, out, 0.05, h)
	hood := 22.0
	if s.v > 5 {
		hood = 22 * math.Exp(-s.v/18)
	}
	toward(&s.tHood, hood, 9, h)

	// Tread: sliding heats it, air and road cool it.
	slide := math.Abs(s.load.force*(s.wW*p.r0-s.v)) * 0.5
	roll := 0.012 * s.load.driven * math.Abs(s.v) * 0.35
	s.tTread += h * (slide + roll - p.treadCool*(1+0.03*math.Abs(s.v))*(s.tTread-p.air.AirTemp-8)) / p.treadHeat

	toward(&s.tDisc, 350, 25, h)
	power := math.Max(s.eng.indicated*s.wE, 0)
	s.tBox += h * (0.02*power - 40*(s.tBox-p.air.AirTemp)) / 30e3
	// Water and oil.
	open := clamp((s.tCool-p.thermostat)/8, 0, 1)
	cool := p.radiator * open * clamp(0.15+math.Abs(s.v)/50, 0.15, 1.8) * (1 - s.fx.radiator)
	s.tCool += h * ((0.16+0.04*s.fx.radiator)*power + 4e3 - cool*(s.tCool-p.air.AirTemp)) / p.coolantHeat
	s.tOil += h * (0.045*power + 1.5e3 - 350*(s.tOil-s.tCool+5)) / p.oilHeat

	// Coolant pressure: water's own vapour, the pump, and what a leaking head
	// gasket adds.
	boost := math.Max(s.boostGauge(), 0)
	cp := 0.55*p.coolantCap*(1+p.moods.fill)*clamp((s.tCool-330)/40, 0, 1.5) + 18e3*(s.wE/800)*(s.wE/800) + s.fx.headGas*boost
	s.caught += h * (s.fx.gasStays*boost - s.caught/gasSeeps)
	toward(&s.coolP, math.Min(cp+s.caught, p.coolantCap*1.6), 0.15, h)

	// Volts: alternator with engine speed, load by pumps.
	v := 13.9 - 0.45*math.Exp(-(s.wE-p.idle)/120) - 0.18*s.throttle
	v -= p.moods.load + s.fx.slackBelt*math.Exp(-(s.wE-p.idle)/150)
	toward(&s.volts, v-s.fx.volts, 0.4, h)
}
