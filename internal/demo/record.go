package demo

import (
	"math"
	"math/rand/v2"
)

// sample is the state every millisecond: what sensors may see and what the
// truth is told from.
type sample struct {
	t, x, v, angD, angU float64
	a, lean             float32
	wE, wW, wIn         float32
	throttle, pedal     float32
	clutch, brake, cut  float32
	pM, pB, pE, p1      float32
	hub, crank          float32
	slip, driven        float32
	fF, fR, r           float32
	rail, fuel, air     float32
	duty                float32
	lam1, lam2          float32
	target, lamTarget   float32
	ign, knock          float32
	tChg, tComp, tCore  float32
	tEx, ex1, ex2       float32
	tCool, tOil, tBox   float32
	pCool, pOil, pCrank float32
	volts, n2o, bottle  float32
	gateDuty, gate      float32
	wT                  float32
	tread, pTyre        float32
	torqueSlip          float32 // clutch slip, rad/s
	wind                float32
	gear                int8
	n2oOn               bool
	locked              bool
	phase               int8
	mu                  float32
	eng                 float32 // indicated torque
	noise               float32
	dead                float32 // share of the first cylinder's fire lost
	flat                float32 // share of pressure lost in the left driven tyre
	rough               float32 // m/s² of shake from the driveline
	trim                float32
}

// runLog is what a run leaves behind.
type runLog struct {
	samples   []sample
	shifts    []shiftState
	torque    *rand.Rand
	tLaunch   float64
	xStage    float64
	tRollout  float64
	marks     [8]crossing
	trapIn    crossing
	line      crossing
	vMax      float64
	tLocked   float64
	slipCutS  float64
	limiterS  float64
	maxTurbo  float64
	maxDuty   float64
	maxBPR    float64
	maxBoost  float64
	maxEx     float64
	maxIn     []float64 // gearbox input torque by gear, 50 ms
	maxCrank  float64   // W, 0.1 s
	inAvg     float64
	powAvg    float64
	pastPeak  [10]float64 // s by gear
	gearBoost [10]float64 // Pa by gear
	maxWheelV float64
}

type crossing struct {
	t, v float64
	ok   bool
}

// markAt are the distances of the marks, m.
var markAt = [8]float64{18.288, 100.584, 201.168, 304.8, 402.336, 804.672, 1000, 1609.344}

func (o *runLog) noteCut(slip, limit bool, h float64) {
	if slip {
		o.slipCutS += h
	}
	if limit {
		o.limiterS += h
	}
}

// watch notes launch, marks, extremes. Crossings are placed between steps by
// the speed there.
func (s *sim) watch(h float64) {
	o := &s.out
	d := &s.drv
	if !d.released {
		o.xStage = s.x
		s.launchPrev = s.v
		return
	}
	if o.tLaunch == 0 {
		if s.v >= 0.1 {
			f := 1.0
			if s.v > s.launchPrev {
				f = (0.1 - s.launchPrev) / (s.v - s.launchPrev)
			}
			o.tLaunch = s.t - h + f*h
		}
	} else if s.v < 0.1 && s.x-o.xStage < 0.3 {
		o.tLaunch = 0
	}
	s.launchPrev = s.v
	x := s.x - o.xStage
	at := func(c *crossing, dist float64) {
		if !c.ok && x >= dist {
			back := (x - dist) / math.Max(s.v, 0.05)
			c.t, c.v, c.ok = s.t-back, s.v-s.a*back, true
		}
	}
	if o.tRollout == 0 && x >= foot {
		o.tRollout = s.t - (x-foot)/math.Max(s.v, 0.05)
	}
	for i := range o.marks {
		if !o.marks[i].ok {
			at(&o.marks[i], markAt[i])
			break
		}
	}
	at(&o.trapIn, s.strip.Length-trapLen)
	at(&o.line, s.strip.Length)
	if o.tLocked == 0 && s.locked && s.gear == 1 {
		o.tLocked = s.t
	}
	if d.phase != phRun {
		return
	}
	o.vMax = math.Max(o.vMax, s.v)
	o.maxTurbo = math.Max(o.maxTurbo, s.wT)
	o.maxBoost = math.Max(o.maxBoost, s.boostGauge())
	o.maxWheelV = math.Max(o.maxWheelV, s.wW*s.r0)
	toward(&o.inAvg, s.tc, 0.03, h)
	if o.maxIn == nil {
		o.maxIn = make([]float64, len(s.gears))
	}
	if g := s.gear - 1; g >= 0 && !d.shifting && s.locked {
		o.maxIn[g] = math.Max(o.maxIn[g], o.inAvg)
		o.gearBoost[g] = math.Max(o.gearBoost[g], s.boostGauge())
		if s.throttle > 0.9 && s.v > 3 && s.load.slip > s.pastSlip() {
			o.pastPeak[g] += h
		}
	}
	if s.throttle > 0.9 && !d.shifting {
		toward(&o.powAvg, s.eng.torque*s.wE, 0.06, h)
		o.maxCrank = math.Max(o.maxCrank, o.powAvg)
		o.maxDuty = math.Max(o.maxDuty, s.dutyInj)
		if s.pM > s.air.Pressure {
			o.maxBPR = math.Max(o.maxBPR, s.pE/s.pM)
		}
		o.maxEx = math.Max(o.maxEx, s.tEx)
	}
}

// pastSlip is the slip beyond which a tyre of this stiffness is past its peak,
// without the small shift that sliding speed makes.
func (p *tyre) pastSlip() float64 {
	k := 0.88 * 3 * p.mu0 / p.stiff
	return k / (1 - k)
}

// keep stores a sample.
func (s *sim) keep() {
	p := s.plan
	x := &s.fx
	boost := math.Max(s.boostGauge(), 0)
	cylLoad := s.pM
	n := float64(p.cyl)
	// Oil: the pump's flow through warm oil, held by the relief valve; the
	// pick-up draws a little air under hard acceleration.
	oil := math.Min(p.oilPerSpeed*s.wE*math.Exp(-0.018*(s.tOil-370)), p.oilRelief*(1+0.02*(s.wE/800-1)))
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
		phase: int8(s.drv.phase), mu: float32(s.gripNow()), eng: float32(s.eng.indicated), noise: float32(s.noiseT), dead: float32(x.cylLoss * n), flat: float32(x.tyre), rough: float32(12 * x.drag), trim: float32(s.trim),
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
