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
	otherwise      bool    // runs by the other forms of its laws
}

// build sizes a car's parts from its spec by the practice of the trade: a
// compressor for the flow and pressure ratio, a turbine that carries about
// six tenths of the gas, a gate for the rest, injectors and pump with reserve.
func build(c spec) phys {
	if c.spool == 0 {
		c.spool = 1
	}
	if c.spring == 0 {
		c.spring = 42
	}
	p := phys{law: &usual}
	if c.otherwise {
		p.law = &other
	}
	c.chassis(&p)
	c.shafts(&p)
	c.engine(&p)
	c.pipes(&p)
	c.rotor(&p)
	c.gate(&p)
	c.schedule(&p)
	c.supplies(&p)
	return p
}

// chassis sets body and tyres.
func (c *spec) chassis(p *phys) {
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
	p.tyre = tyre{law: p.law, r0: c.r0, grow: c.grow, deflect: 0.006, mu0: c.mu, fall: 0.80, vFall: 11, stiff: c.stiff,
		fzRef: axleLoad, relax: 0.42, pOpt: (c.pCold + 14) * 1e3, pSens: 0.18, pGrow: 0.35, tOpt: 338, tWidth: 60,
		treadHeat: 9e3, treadCool: 55, pCold: c.pCold * 1e3, tyreSize: c.tyreSize, unloadedAdd: 0.007}
	p.tyre.setCircum = math.Round(2*math.Pi*(c.r0+0.0015)*1000) / 1000
}

// shafts sets all that turns between the crank and the hubs.
func (c *spec) shafts(p *phys) {
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
}
