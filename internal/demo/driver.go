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
	coastFor         float64
	tLift, tBrake    float64
	stopped          bool
	backed           float64
	lifted, aborted  bool
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
		d.queue = append(d.queue, phStage)
	}
	d.queue = append(d.queue, phArm, phRun, phCoast)
	if ev.ReturnDrive && s.preface {
		d.queue = append(d.queue, phReturn)
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
		if el > s.hand.idle {
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

// race is the pass itself: launch, shifts, pedalling, the lift.
func (s *sim) race(h float64) {
	d := &s.drv
	el := s.t - d.tRelease
	s.brake = 0
	// Clutch and throttle at the launch.
	if !d.launchClutchDone {
		tau := s.clutchRelease * s.hand.release
		if s.ideal.traction {
			tau = min(tau, 0.6)
		}
		b := s.clutchBite * s.hand.bite
		c := b + (1-b)*math.Pow(clamp(el/tau, 0, 1), 1.6)
		if !s.locked {
			// The foot gives way when the engine falls too far.
			ls := s.set.LaunchSpeed
			c *= clamp((s.wE/ls-0.30)/0.45, 0.08, 1)
		}
		s.clutch = min(c, s.clutch+h*20)
		if el > tau && s.locked {
			d.launchClutchDone = true
			s.clutch = 1
		}
	} else if !d.shifting {
		s.clutch = min(1, s.clutch+8*h)
	}
	want := 1.0
	if s.launchThrottle > 0 {
		want = clamp(0.45+0.55*el/s.launchThrottle, 0, 1)
	}
	// Wheelspin answered by the foot.
	if (s.load.slip > s.wheelspinMax || s.limiting && s.load.slip > 0.15) && s.v > 2 {
		if math.IsInf(d.spinSince, 1) {
			d.spinSince = s.t
		}
	} else {
		d.spinSince = math.Inf(1)
	}
	forced := s.events.Pedal && !d.pedalDone && el > 1.1
	if !d.shifting && d.pedalUntil == 0 && (s.t-d.spinSince > 0.55 || forced) && len(d.pedals) < 12 && !s.ideal.traction {
		d.pedalUntil = s.t + s.hand.pedalHold
		d.pedals = append(d.pedals, span{s.t, d.pedalUntil})
		d.pedalDone = true
	}
	if d.pedalUntil > s.t {
		want = 0.12
	} else {
		d.pedalUntil = 0
	}
	if d.shifting {
		if s.box != synchroLift && !d.shift.missed {
			s.pedal += clamp(want-s.pedal, -12*h, 9*h)
		}
		s.shiftStep(h)
	} else {
		s.pedal += clamp(want-s.pedal, -12*h, 9*h)
		if d.launchClutchDone && s.gear > 0 && s.gear < len(s.gears) && s.locked && want > 0.9 {
			aim := s.set.ShiftSpeed[s.gear-1] + s.hand.aim[s.gear-1]
			// Nobody shifts up while the car stands and the wheels spin.
			if s.wE >= aim && s.v > 0.5*aim/s.ratio(s.gear)*s.r0 {
				s.beginShift()
			}
		}
	}
	// The lift: after the line, or early.
	end := s.strip.Length + s.hand.liftAfter
	if s.events.LiftAt > 0 {
		end = min(end, s.events.LiftAt)
	}
	if s.x >= end && !d.shifting {
		d.tLift = s.t
		d.lifted = s.x < s.strip.Length
		d.next(s)
	}
}

// coast is what follows the lift: in gear, then braking.
func (s *sim) coast(el float64) {
	d := &s.drv
	s.pedal = max(0, s.pedal-12*s.h)
	d.fuelOff = true
	if s.wE < 2.4*s.idle || s.gear == 0 {
		s.clutch, s.locked = 0, false
		d.fuelOff = false
	}
	if el > s.hand.brakeAfter {
		if d.tBrake == 0 {
			d.tBrake = s.t
		}
		s.brake = clamp((el-s.hand.brakeAfter)/0.4, 0, 1) * clamp(s.brakeDecel*s.hand.brakeHard/(0.9*grav), 0, 0.8)
		if s.v < 9 {
			s.brake = 0.02
		}
	}
	if len(d.queue) > 0 { // down to a walk, to turn round
		d.coastFor = math.Inf(1)
		if s.v < 9 {
			s.brake = 0.15
		}
		if s.v < 1 {
			d.next(s)
		}
		return
	}
	if el > d.coastFor || s.v < 6 {
		d.done = true
	}
}

// driveBack stops, turns round and drives back in first gear. Positions are
// mirrored about the turn by the satellite's side of things (see senseSatellite).
func (s *sim) driveBack(el float64) {
	d := &s.drv
	if el < 3 {
		s.clutch, s.locked, s.pedal, s.brake = 0, false, 0, 0.2
		if el > 2.5 && s.gear != 1 {
			s.engage(1)
		}
		return
	}
	s.brake = 0
	want := min(7.5, 0.8*(el-3))
	if s.wIn > 1.15*s.idle || s.locked && s.wIn > 0.9*s.idle {
		s.clutch = min(1, s.clutch+2*s.h)
	} else if !s.locked {
		s.clutch = clamp(0.004+0.03*(want-s.v), 0, 0.08)
	} else {
		s.clutch, s.locked = 0, false
	}
	s.pedal = clamp(0.04+0.04*(want-s.v), 0, 0.25)
	if !s.locked {
		s.pedal = clamp(0.02+6e-4*(1.4*s.idle-s.wE), 0, 0.15)
	}
	if el > 35 {
		d.done = true
	}
}
