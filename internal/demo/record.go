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
	pumpAvg   float64 // 1, of what the pump brings with the rail where it belongs
	maxPump   float64
	leanAvg   float64 // 1, lambda over its target
	maxLean   float64
	back      [10]backSeen // by gear
	maxBoost  float64
	maxEx     float64
	maxIn     []float64 // gearbox input torque by gear, 50 ms
	maxCrank  float64   // W, 0.1 s
	inAvg     float64
	closedFor float64 // s, that the clutch has been closed in gear
	powAvg    float64
	pastPeak  [10]float64 // s by gear
	gearBoost [10]float64 // Pa by gear
	maxWheelV float64
}

type crossing struct {
	t, v float64
	ok   bool
}

// biteOver is how long, s, shafts that a slipping clutch wound up shake after it has closed: that
// torque is the clutch's bite, not the pull's.
const biteOver = 0.3

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

// watch notes launch, marks, extremes.
func (s *sim) watch(h float64) {
	o := &s.out
	if !s.drv.released {
		o.xStage = s.x
		s.launchPrev = s.v
		return
	}
	s.watchLaunch(h)
	s.watchMarks()
	if s.drv.phase == phRun {
		s.watchExtremes()
		s.watchGear(h)
		if s.throttle > 0.9 && !s.drv.shifting {
			s.watchPull(h)
		}
	}
}

// watchLaunch notes when the car moves for good and when the clutch has closed.
func (s *sim) watchLaunch(h float64) {
	o := &s.out
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
	if o.tLocked == 0 && s.locked && s.gear == 1 {
		o.tLocked = s.t
	}
}

// watchMarks notes rollout, marks, trap and line. Crossings are placed between
// steps by the speed there.
func (s *sim) watchMarks() {
	o := &s.out
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
}

func (s *sim) watchExtremes() {
	o := &s.out
	o.vMax = math.Max(o.vMax, s.v)
	o.maxTurbo = math.Max(o.maxTurbo, s.wT)
	o.maxBoost = math.Max(o.maxBoost, s.boostGauge())
	o.maxWheelV = math.Max(o.maxWheelV, s.wW*s.r0)
}

// watchGear notes what gearbox and tyres bear in a gear.
func (s *sim) watchGear(h float64) {
	o := &s.out
	closed := s.locked && !s.drv.shifting
	if closed {
		o.closedFor += h
		toward(&o.inAvg, s.tc, 0.03, h)
	} else {
		o.closedFor, o.inAvg = 0, s.eng.torque
	}
	if o.maxIn == nil {
		o.maxIn = make([]float64, len(s.gears))
	}
	g := s.gear - 1
	if g < 0 {
		return
	}
	if closed {
		if o.closedFor > biteOver {
			o.maxIn[g] = math.Max(o.maxIn[g], o.inAvg)
		}
		o.gearBoost[g] = math.Max(o.gearBoost[g], s.boostGauge())
	}
	// the clutch still slipping at the launch is full throttle too
	if !s.drv.shifting && s.throttle > 0.9 && s.v > 3 && s.pastPeak() {
		o.pastPeak[g] += h
	}
}

// watchPull notes what engine, turbo and fuel supply give at full throttle.
func (s *sim) watchPull(h float64) {
	o := &s.out
	toward(&o.powAvg, s.eng.torque*s.wE, 0.06, h)
	o.maxCrank = math.Max(o.maxCrank, o.powAvg)
	o.maxDuty = math.Max(o.maxDuty, s.dutyInj)
	toward(&o.pumpAvg, s.flow.wanted/s.fuel.density/s.pumpBrings(s.regulated()), 0.1, h)
	o.maxPump = math.Max(o.maxPump, o.pumpAvg)
	toward(&o.leanAvg, math.Max(s.lam[0], s.lam[1])/s.lambdaTarget(), 0.1, h)
	o.maxLean = math.Max(o.maxLean, o.leanAvg)
	if g := s.gear - 1; g >= 0 {
		o.back[g].see(s.pE, s.pM, h)
	}
	o.maxEx = math.Max(o.maxEx, s.tEx)
}
