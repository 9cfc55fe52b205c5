package demo

import "math"

// phase of the driver's programme.
type phase int

const (
	phIdle phase = iota
	phBurnout
	phCreep
	phStage
	phArm
	phRun
	phCoast
	phReturn // the slow drive back
	phRest   // idling where the car has stopped
	phWarmUp // a slow stretch on the way to the line
	phFalseStart
)

// driver is the driver's state. Times are on the run's own clock.
type driver struct {
	phase    phase
	since    float64 // start of the phase
	queue    []phase
	done     bool
	lineLock bool
	fuelOff  bool

	released         bool
	tRelease         float64
	shifting         bool
	shift            shiftState
	syncTorque       float64
	spinSince        float64
	pedalDone        bool
	pedalUntil       float64
	pedals           []span
	featherUntil     float64
	coastFor         float64
	tLift, tBrake    float64
	stopped          bool
	lifted           bool
	launchClutchDone bool
	settled          float64
}

type span struct{ from, to float64 }

// hand is the driver's scatter, drawn once for each pass.
type hand struct {
	release, bite, launch float64 // factors
	shiftTime             [10]float64
	aim                   [10]float64 // rad/s
	arm, stage, idle      float64     // s
	liftAfter             float64     // m beyond the line
	pedalHold             float64
	missHold              float64
	brakeAfter            float64
	brakeHard             float64
}

func drawHand(p *phys, seed uint64) hand {
	r := stream(seed, "driver")
	n := func(sd float64) float64 { return clamp(r.NormFloat64(), -2.5, 2.5) * sd }
	h := hand{
		release: math.Exp(n(0.12)), bite: math.Exp(n(0.08)), launch: 1 + n(0.02),
		arm: 1.6 + 0.8*r.Float64(), stage: 1 + 1.5*r.Float64(), idle: 1 + r.Float64(),
		liftAfter: 4 + 30*r.Float64(), pedalHold: 0.3 + 0.3*r.Float64(), missHold: 0.7 + 0.35*r.Float64(),
		brakeAfter: 0.5 + 0.4*r.Float64(), brakeHard: 1 + n(0.1),
	}
	day := n(0.05) // the hand is slower or faster as a whole
	for i := range h.shiftTime {
		h.shiftTime[i] = math.Exp(day + n(p.shiftScatter))
		h.aim[i] = n(p.shiftAimScatter)
	}
	return h
}

func (d *driver) init(s *sim) {
	ev := s.events
	d.queue = nil
	if s.preface {
		d.queue = append(d.queue, phIdle)
		if ev.Burnout && s.driven != allDriven {
			d.queue = append(d.queue, phBurnout)
		}
		if ev.Creep || ev.Burnout {
			d.queue = append(d.queue, phCreep)
			s.x = -4 - 3*s.hand.bite
		}
		if ev.WarmUp {
			d.queue = append(d.queue, phWarmUp)
		}
		d.queue = append(d.queue, phStage)
		if ev.FalseStart {
			d.queue = append(d.queue, phFalseStart, phStage)
		}
	}
	d.queue = append(d.queue, phArm, phRun, phCoast)
	if ev.ReturnDrive && s.preface {
		d.queue = append(d.queue, phReturn)
	}
	if ev.IdleAfter > 0 && s.preface {
		d.queue = append(d.queue, phRest)
	}
	d.spinSince = math.Inf(1)
	d.coastFor = ev.CoastFor
	if d.coastFor == 0 {
		d.coastFor = 4 + 3*s.hand.arm
	}
	d.next(s)
}

func (d *driver) next(s *sim) {
	if len(d.queue) == 0 {
		d.done = true
		return
	}
	d.phase, d.queue = d.queue[0], d.queue[1:]
	d.since = s.t
	switch d.phase {
	case phArm:
		if s.gear != 1 {
			s.engage(1)
		}
		s.clutch, s.locked = 0, false
	case phStage:
		s.clutch, s.locked = 0, false
		s.engage(1)
	}
}

// drive lets the driver act for h.
func (s *sim) drive(h float64) {
	d := &s.drv
	el := s.t - d.since
	d.lineLock, d.fuelOff = false, false
	d.syncTorque = 0
	switch d.phase {
	case phIdle:
		s.gear, s.clutch, s.pedal, s.brake = 0, 1, 0, 0.3
		if el > s.hand.idle+s.events.IdleBefore {
			d.next(s)
		}
	case phBurnout:
		s.burnout(el)
	case phCreep:
		s.creep(el)
	case phStage:
		s.clutch, s.pedal, s.brake = 0, 0, 0.5
		if el > s.hand.stage {
			d.next(s)
		}
	case phArm:
		s.clutch, s.brake = 0, 0.6
		s.pedal = clamp(el/0.25, 0, 1)
		if el > s.hand.arm {
			d.next(s)
			d.released, d.tRelease = true, s.t
			s.brake = 0
		}
	case phRun:
		s.race(h)
	case phCoast:
		s.coast(el)
	case phReturn:
		s.driveBack(el)
	case phRest:
		s.rest(el)
	case phWarmUp:
		s.warmUp(el)
	case phFalseStart:
		s.falseStart(el)
	}
	if s.wE < 0.65*s.idle { // the foot is quicker than a stall
		s.clutch, s.locked = 0, false
	}
}

// burnout spins the driven tyres warm with the others held.
func (s *sim) burnout(el float64) {
	d := &s.drv
	d.lineLock = true
	s.brake = 0
	switch {
	case el < 0.8:
		s.clutch, s.locked = 0, false
		s.pedal = clamp(0.002*(3800*rpm-s.wE), 0, 0.4)
		if s.gear != 2 {
			s.engage(2)
		}
	case el < 3.6:
		s.clutch = clamp((el-0.8)/0.2, 0, 1)
		s.pedal = clamp(0.35+0.05*(20-s.wW*s.r0), 0.05, 0.8)
	case el < 4.6:
		s.pedal, s.clutch = 0, 0
		s.locked = false
	default:
		d.next(s)
	}
}

// creep rolls slowly to the line and stops there.
func (s *sim) creep(el float64) {
	d := &s.drv
	if s.gear != 1 && el < 0.3 {
		s.clutch, s.pedal, s.brake = 0, 0, 0.5
		if el > 0.2 {
			s.engage(1)
		}
		return
	}
	left := -s.x
	if left > 0.25 && !d.stopped {
		s.brake = 0
		s.pedal = clamp(0.02+6e-4*(1.25*s.idle-s.wE), 0, 0.10)
		want := 1.3 * clamp(left/1.5, 0.4, 1)
		s.clutch = clamp(0.004+0.03*(want-s.v), 0, 0.06)
		return
	}
	d.stopped = true
	s.clutch, s.pedal, s.brake = 0, 0, 0.15
	if math.Abs(s.v) < 0.05 {
		d.settled += s.h
		if d.settled > 0.5 {
			d.next(s)
		}
	}
}
