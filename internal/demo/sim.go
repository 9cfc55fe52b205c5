package demo

import (
	"math"
	"math/rand/v2"
)

// step of the integration, s. Halving it moves a trap speed by less than
// 0.02 m/s (TestStepIsSmallEnough).
const step = 0.0005

// plan is everything that is settled before a run: the car with its settings,
// the day, the driver's hand and the gusts.
type plan struct {
	phys
	set     Settings
	air     Weather
	strip   Strip
	grip    *table // multiplier of friction along x
	gust    *table // m/s along the distance through the air
	hand    hand
	moods   moods
	fault   *Fault
	ideal   ideal
	events  DriverEvents
	start   Heat
	seed    uint64
	fast    bool // no record, stop at the line
	rho     float64
	dry     float64
	oxygen  float64 // kg of oxygen-bearing dry air per kg of moist air
	stopAt  float64 // m
	h       float64 // s, step
	record  int     // steps between samples
	preface bool    // idle and staging are simulated
}

// ideal switches one cause off, for counterfactual runs.
type ideal struct {
	traction, shifts, boost, drag, still bool
	back                                 float64 // gauge back-pressure over gauge boost when boost has no lag
	heat                                 float64 // the compressor's heating over an ideal one's when boost has no lag
}

// sim is the state of a run.
type sim struct {
	*plan
	t               float64
	x, v, a         float64
	wE, wIn, wD, wW float64 // engine, gearbox input, differential side, driven wheels
	twist           float64
	defl            [2]float64 // carcass deflection, front and rear driven axle
	gear            int
	locked          bool
	tc              float64 // clutch torque of the last step
	lean            float64 // m/s², body motion that moves load
	leanRate        float64
	angD, angU      float64 // rad turned by driven and undriven wheels
	pB, pM, pE      float64 // plenum, manifold, exhaust
	mC              float64 // kg/s through each compressor
	wT              float64 // rotor
	gate            float64 // lift 0–1
	duty            float64 // wastegate solenoid
	dutyI           float64
	n2oShare        float64
	throttle, pedal float64
	clutch          float64 // 0 open, 1 closed
	brake           float64 // 0–1
	cut             float64 // ignition cut as it acts
	cutAsk          float64
	retard          float64
	idleAir, idleI  float64
	rail            float64 // Pa gauge
	trim            float64
	tComp, tCore    float64 // compressor outlet, cooler core
	tChg            float64
	tEx             float64
	tTread          float64
	tDisc           float64
	tCool, tOil     float64
	tBox            float64
	tHood           float64
	volts           float64
	bottle          float64
	knockRetard     float64
	knockPulse      float64
	noiseT          float64
	flow            flows
	eng             engineOut
	load            loads
	hub             float64
	fx              effect
	energy          Energy
	drv             driver
	noise           *rand.Rand
	out             runLog
	lastBoostTarget float64
	n2oOn           bool
	n2oKg, fuelKg   float64
	slipSensed      float64
	dutyInj         float64
	lam             [2]float64
	coolP           float64
	caught          float64 // Pa, of combustion gas caught in the coolant
	steps           int
	launchPrev      float64
	limiting        bool
	knocks          int
}

type flows struct {
	comp, throttle, bypass, leak, engine, turbine, gate, n2o, air, fuel float64 // kg/s
	wanted                                                              float64 // kg/s of fuel, with the rail where it belongs
}

type engineOut struct {
	torque, indicated float64 // N·m at the crank: brake and indicated
	ign, mbt          float64 // deg
	ve                float64
}

type loads struct {
	f, r, driven float64 // N
	rEff         [2]float64
	slip         float64
	force        float64
}

// newSim puts the car at the place and in the state in which a run begins.
func newSim(p *plan) *sim {
	s := &sim{plan: p, locked: false, noise: stream(p.seed, "engine noise")}
	s.wE = p.idle
	s.wT = 900
	s.pB, s.pM, s.pE = p.air.Pressure, 0.35*p.air.Pressure, p.air.Pressure*1.02
	s.tCore = p.start.Charge
	s.tChg = p.start.Charge
	s.tComp = p.start.Charge
	s.tHood = p.start.Charge - p.air.AirTemp
	s.tEx = 800
	s.tTread = p.start.Tread
	s.tDisc = 340
	s.tCool, s.tOil = p.start.Coolant, p.start.Oil
	s.tBox = 330
	s.volts = 13.6
	s.bottle = p.start.Bottle
	s.rail = p.basePress + s.pM - p.air.Pressure
	s.lam = [2]float64{1, 1}
	s.coolP = 45e3
	s.idleAir, s.idleI = 0.004, 0.004
	s.load.rEff = [2]float64{p.r0, p.r0}
	s.gear = 0
	if !p.fast {
		s.out.samples = make([]sample, 0, 36000)
	}
	s.out.torque = stream(p.seed, "torque noise")
	s.drv.init(s)
	return s
}

// run integrates to the end of the driver's programme or to the line.
func (s *sim) run() {
	h := s.h
	for i := 0; ; i++ {
		s.steps = i
		if i%2 == 0 {
			s.slow(2 * h)
		}
		s.drive(h)
		if i%2 == 0 {
			s.control(2 * h)
		}
		s.gas(h)
		s.combustion()
		s.mechanics(h)
		s.t += h
		s.watch(h)
		if !s.fast && i%s.record == 0 {
			s.keep()
		}
		if s.drv.done || (s.fast && s.x >= s.stopAt) || s.t > 400 {
			return
		}
	}
}

// boostGauge is the manifold's pressure over the barometer, Pa.
func (s *sim) boostGauge() float64 { return s.pM - s.air.Pressure }

// rOut is the overall ratio in a gear, 0 in neutral.
func (s *sim) ratio(g int) float64 {
	if g <= 0 || g > len(s.gears) {
		return 0
	}
	return s.gears[g-1] * s.final
}

// wind is the speed of the air against the car, m/s, at the present place.
func (s *sim) wind() float64 {
	if s.ideal.still {
		return 0
	}
	// The gust is frozen in the air: it is a function of the distance covered
	// through it.
	return s.air.Headwind + s.air.Gust*s.gust.at(s.x+s.air.Headwind*s.t)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
