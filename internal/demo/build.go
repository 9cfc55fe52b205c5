package demo

import "math"

// spec is a car in the figures from which its parts are sized.
type spec struct {
	id, name, text string
	driven         axle
	cyl, banks     int
	layout         string
	litres, rc     float64
	fuel           fuel
	turbos         int
	turboText      string
	boostMax       float64 // kPa gauge for which turbo and gate are sized
	airPeak        float64 // kg/s at that boost
	revLimit       float64 // rpm
	idle           float64 // rpm
	gears          []float64
	final          float64
	box            boxKind
	shiftTime      float64
	mass, cda      float64
	clf, clr       float64
	wheelbase, hcg float64
	wf             float64
	r0, mu, stiff  float64
	grow           float64
	pCold          float64 // kPa
	tyreSize       string
	boost          []float64 // kPa
	shift          []float64 // rpm
	launch         float64   // rpm
	launchBoost    float64   // kPa
	clutch         float64   // N·m
	release        float64
	throttleIn     float64
	slipCut        float64
	n2o            float64
	absolute       bool
	lambda         float64
	target         float64 // m/s
	dialect        string
	sensors        string
	spring         float64 // kPa at which the gate cracks; 0: 42
	spool          float64 // 1 usual; greater is a bigger, lazier rotor
}

// build sizes a car's parts from its spec by the practice of the trade: a
// compressor for the flow and pressure ratio, a turbine that carries about
// six tenths of the gas, a gate for the rest, injectors and pump with reserve.
func build(c spec) phys {
	var p phys
	if c.spool == 0 {
		c.spool = 1
	}
	if c.spring == 0 {
		c.spring = 42
	}
	w := grav * c.mass
	p.body = body{mass: c.mass, cda: c.cda, yawDrag: 1.6, clf: c.clf, clr: c.clr, crr0: 0.0125, crrv: 9e-7,
		wheelbase: c.wheelbase, hcg: c.hcg, wf: c.wf, pitchPerG: 0.0032, pitchFreq: 2.1, pitchDamp: 0.42,
		directShare: 0.55, brakeDecel: 5.5}
	axleLoad := w * c.wf
	switch c.driven {
	case rearDriven:
		axleLoad = w * (1 - c.wf)
	case allDriven:
		axleLoad = w / 2
	}
	p.tyre = tyre{r0: c.r0, grow: c.grow, deflect: 0.006, mu0: c.mu, fall: 0.80, vFall: 11, stiff: c.stiff,
		fzRef: axleLoad, relax: 0.42, pOpt: (c.pCold + 14) * 1e3, pSens: 0.18, pGrow: 0.35, tOpt: 338, tWidth: 60,
		treadHeat: 9e3, treadCool: 55, pCold: c.pCold * 1e3, tyreSize: c.tyreSize, unloadedAdd: 0.007}
	p.tyre.setCircum = math.Round(2*math.Pi*(c.r0+0.0015)*1000) / 1000

	jw := 1.25 * (c.r0 / 0.32) * (c.r0 / 0.32)
	p.driveline = driveline{driven: c.driven, gears: c.gears, final: c.final, mesh: 0.955, spin: 3.5,
		jEngine: 0.035 * (0.6 + 0.4*c.litres), jInput: 0.010, jOut: 0.10, jDriven: 2 * jw, jUndriven: 2 * jw * 0.85,
		shaftK: 19e3, shaftC: 95, clutchTorque: c.clutch, clutchHeat: 3200, clutchFade: 0.10, clutchRelease: c.release,
		clutchBite: 0.30, box: c.box, shiftTime: c.shiftTime, shiftScatter: 0.08, launchSpeed: c.launch * rpm,
		launchThrottle: c.throttleIn, wheelspinMax: 0.6, slipCutAt: c.slipCut, slipCutGain: 5, shiftAimScatter: 6,
		undrivenRadiusOff: -0.012}
	p.jEngine += 0.06
	if c.box == dogCut || c.box == paddleCut {
		p.mesh, p.shiftScatter, p.shiftAimScatter = 0.94, 0.05, 4
	}
	if c.driven == allDriven {
		p.jDriven, p.jUndriven, p.mesh, p.jOut, p.shaftK, p.shaftC = 4*jw, 0, p.mesh-0.025, 0.22, 34e3, 170
	}
	for _, n := range c.shift {
		p.shiftAim = append(p.shiftAim, n*rpm)
	}

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
		p.ve = append(p.ve, 1.06-0.32*d*d+0.018*math.Sin(n/55))
	}

	nT := float64(c.turbos)
	p0, t1 := 100e3, 300.0
	each := c.airPeak / nT
	pr := (c.boostMax*1e3 + p0) * 1.05 / (p0 * 0.975)
	p.airpath = airpath{turbos: c.turbos, compPhi: 0.19, compPsi: 0.63, compChoke: 0.285, turbEta: 0.66, bearing: 2.2e-6,
		gateSpring: c.spring * 1e3, gateRange: 55e3, gateAssist: 0.10, gateLag: 0.045, ctlP: 3.0e-6, ctlI: 9e-6, ctlRate: 4.5,
		absolute: c.absolute, vPlenum: 0.006 + 0.009*c.airPeak, vManifold: 1.5 * vd, vExhaust: 0.0012 + 0.0022*c.airPeak,
		throttleArea: 0.0075 * math.Sqrt(c.airPeak/0.75), bypassArea: 2.4e-3 * nT * math.Sqrt(each/0.8), bypassSpring: 35e3, ductLength: 1.1,
		coolerEff: 0.80, coolerHeat: 26e3, coolerAir: 1500 * c.airPeak, turboText: c.turboText}
	p.filterLoss = 0.022 * p0 / (c.airPeak * c.airPeak)
	p.tailLoss = 0.10 * p0 / (c.airPeak * c.airPeak)
	p.coolerLoss = 0.035 * c.boostMax * 1e3 / (c.airPeak * c.airPeak)
	hs := cpAir * t1 * (math.Pow(pr, 1/3.5) - 1)
	u := math.Sqrt(hs / (0.63 * 0.86))
	rho := 0.975 * p0 / (rAir * t1)
	p.compRadius = math.Sqrt(each / (0.205 * rho * u * math.Pi))
	p.turbRadius = 0.93 * p.compRadius
	p.jRotor = c.spool * 4.6e-4 * math.Pow(p.compRadius/0.046, 5)
	p.bearing *= math.Pow(p.compRadius/0.046, 3)
	p.ductArea = 0.0022 * math.Sqrt(each/0.5)
	p.maxTurbo = 1.10 * u / p.compRadius
	pe := 1.18*(c.boostMax*1e3) + p0
	gas := each * (1 + 1/(c.fuel.afr*c.lambda))
	tex := 1180.0
	if c.fuel.name == "methanol" {
		tex = 1050
	}
	p.turbArea = 0.60 * gas * math.Sqrt(rEx*tex) / pe
	p.gateArea = 1.5 * 0.45 * nT * gas * math.Sqrt(rEx*tex) / (0.672 * pe)
	b := 1.15 * c.boostMax * 1e3
	p.gateBleed = clamp((1+1.15*p.gateAssist-(p.gateSpring+0.4*p.gateRange)/b)/0.85, 0.5, 0.98)
	for _, b := range c.boost {
		p.boost = append(p.boost, b*1e3)
	}
	p.launchBoost = c.launchBoost * 1e3

	need := c.airPeak / (c.fuel.afr * c.lambda) / c.fuel.density
	p.fuelSystem = fuelSystem{injFlow: need / 0.76, basePress: 350e3, pumpFlow: need * 1.28, pumpDrop: 0.12, n2oFlow: c.n2o,
		n2oBelow: 25e3, trimSpeed: 0.15, bottleHeat: 2.0e6, compRail: c.sensors == "full"}
	p.fluids = fluids{oilRelief: 520e3, oilPerSpeed: 1150, coolantCap: 110e3, blowby: 0.012, knockBase: 0.12,
		thermostat: 356, radiator: 2300, coolantHeat: 60e3, oilHeat: 14e3}
	r := stream(0, "cylinders/"+c.id)
	for range c.cyl {
		p.egtSpread = append(p.egtSpread, 11*r.NormFloat64())
	}
	return p
}
