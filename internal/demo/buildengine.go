package demo

import "math"

// The air for which engine and turbo are sized.
const (
	sizedAt   = 100e3 // Pa
	sizedWarm = 300.0 // K
)

// engine sets the cylinders, what they breathe and when they are lit.
func (c *spec) engine(p *phys) {
	vd := c.litres * 1e-3
	p.engine = engine{vd: vd, cyl: c.cyl, banks: c.banks, layout: c.layout, rc: c.rc, etaInd: 0.378, f0: 62e3, f1: 70, f2: 0.13,
		mbt0: 30, ignBase: 24, ignBoost: 4.6, lambdaWot: c.lambda, fuel: c.fuel, idle: c.idle * rpm, revLimit: c.revLimit * rpm,
		exShare: 0.345, torqueNoise: 0.012, veStep: 50}
	if c.fuel.latent > 700e3 {
		p.ignBoost, p.ignBase = 3.4, 26
	}
	best := 0.80 * c.revLimit * rpm
	for i := 0; float64(i)*p.veStep < c.revLimit*rpm*1.15; i++ {
		n := float64(i) * p.veStep
		d := (n - best) / best
		p.ve = append(p.ve, p.law.breathe(d, n))
	}
}

// turboAir is the flow through one of the turbos at the boost for which they
// are sized, kg/s.
func (c *spec) turboAir() float64 { return c.airPeak / float64(c.turbos) }

// pipes sets the air's way: volumes, throttle, bypass, cooler and what each
// loses, and the control of the gate.
func (c *spec) pipes(p *phys) {
	p0 := sizedAt
	p.airpath = airpath{turbos: c.turbos, compPhi: 0.19, compPsi: 0.63, compChoke: 0.285, turbEta: 0.66, bearing: 2.2e-6,
		gateSpring: c.spring * 1e3, gateRange: 55e3, gateAssist: 0.10, gateLag: 0.045, ctlP: 3.0e-6, ctlI: 9e-6, ctlRate: 4.5,
		absolute: c.absolute, vPlenum: 0.006 + 0.009*c.airPeak, vManifold: 1.5 * p.vd, vExhaust: 0.0012 + 0.0022*c.airPeak,
		throttleArea: 0.0075 * math.Sqrt(c.airPeak/0.75), bypassArea: 2.4e-3 * float64(c.turbos) * math.Sqrt(c.turboAir()/0.8), bypassSpring: 35e3, ductLength: 1.1,
		coolerEff: 0.80, coolerHeat: 26e3, coolerAir: 1500 * c.airPeak, turboText: c.turboText}
	p.filterLoss = 0.022 * p0 / (c.airPeak * c.airPeak)
	p.tailLoss = 0.10 * p0 / (c.airPeak * c.airPeak)
	p.coolerLoss = 0.035 * c.boostMax * 1e3 / (c.airPeak * c.airPeak)
}

// rotor sizes compressor, turbine wheel and their inertia.
func (c *spec) rotor(p *phys) {
	p0, t1, each := sizedAt, sizedWarm, c.turboAir()
	pr := (c.boostMax*1e3 + p0) * 1.05 / (p0 * 0.975)
	hs := cpAir * t1 * (math.Pow(pr, 1/3.5) - 1)
	u := math.Sqrt(hs / (0.63 * 0.86))
	rho := 0.975 * p0 / (rAir * t1)
	p.compRadius = math.Sqrt(each / (0.205 * rho * u * math.Pi))
	p.turbRadius = 0.93 * p.compRadius
	p.jRotor = c.spool * 4.6e-4 * math.Pow(p.compRadius/0.046, 5)
	p.bearing *= math.Pow(p.compRadius/0.046, 3)
	p.ductArea = 0.0022 * math.Sqrt(each/0.5)
	p.maxTurbo = 1.10 * u / p.compRadius
}

// gate sizes the turbine's housing and the wastegate.
func (c *spec) gate(p *phys) {
	pe := 1.18*(c.boostMax*1e3) + sizedAt
	gas := c.turboAir() * (1 + 1/(c.fuel.afr*c.lambda))
	tex := 1180.0
	if c.fuel.name == "methanol" {
		tex = 1050
	}
	p.turbArea = 0.60 * gas * math.Sqrt(rEx*tex) / pe
	p.gateArea = 1.5 * 0.45 * float64(c.turbos) * gas * math.Sqrt(rEx*tex) / (0.672 * pe)
	b := 1.15 * c.boostMax * 1e3
	p.gateBleed = clamp((1+1.15*p.gateAssist-(p.gateSpring+0.4*p.gateRange)/b)/0.85, 0.5, 0.98)
}

// schedule sets the boost that is asked for, by gear and at the launch.
func (c *spec) schedule(p *phys) {
	for _, b := range c.boost {
		p.boost = append(p.boost, b*1e3)
	}
	p.launchBoost = c.launchBoost * 1e3
}

// supplies sets fuel, nitrous, oil, coolant, and the spread of the exhaust's
// temperature from cylinder to cylinder.
func (c *spec) supplies(p *phys) {
	need := c.airPeak / (c.fuel.afr * c.lambda) / c.fuel.density
	p.fuelSystem = fuelSystem{injFlow: need / 0.76, basePress: 350e3, pumpFlow: need * 1.28, pumpDrop: 0.12, n2oFlow: c.n2o,
		n2oBelow: 25e3, trimSpeed: 0.15, bottleHeat: 2.0e6, compRail: c.sensors == "full"}
	p.fluids = fluids{oilRelief: 520e3, oilPerSpeed: 1150, coolantCap: 110e3, blowby: 0.012, knockBase: 0.12,
		thermostat: 356, radiator: 2300, coolantHeat: 60e3, oilHeat: 14e3}
	r := stream(0, "cylinders/"+c.id)
	for range c.cyl {
		p.egtSpread = append(p.egtSpread, 11*r.NormFloat64())
	}
}
