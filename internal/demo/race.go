package demo

import "math"

// race is the pass itself: launch, shifts, pedalling, the lift.
func (s *sim) race(h float64) {
	d := &s.drv
	s.brake = 0
	s.launchClutch(h)
	want := s.wanted()
	if d.shifting {
		if s.box != synchroLift && !d.shift.missed {
			s.pedal += clamp(want-s.pedal, -12*h, 9*h)
		}
		s.shiftStep(h)
	} else {
		s.pedal += clamp(want-s.pedal, -12*h, 9*h)
		if want > 0.9 && s.timeToShift() {
			s.beginShift()
		}
	}
	// The lift: after the line, or early.
	end := s.strip.Length + s.hand.liftAfter
	if s.events.LiftAt > 0 {
		end = min(end, s.events.LiftAt)
	}
	if s.downStrip() >= end && !d.shifting {
		d.tLift = s.t
		d.lifted = s.downStrip() < s.strip.Length
		d.next(s)
	}
}

// launchClutch lets the clutch in, and closes it after a shift.
func (s *sim) launchClutch(h float64) {
	d := &s.drv
	if d.launchClutchDone {
		if !d.shifting {
			s.clutch = min(1, s.clutch+8*h)
		}
		return
	}
	el := s.t - d.tRelease
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
}

// wanted is the throttle that the foot wants, 0 to 1: it comes in after the
// launch, answers wheelspin and is lifted for what gives way under it.
func (s *sim) wanted() float64 {
	d := &s.drv
	el := s.t - d.tRelease
	want := 1.0
	if s.launchThrottle > 0 {
		want = clamp(0.45+0.55*el/s.launchThrottle, 0, 1)
	}
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
	if s.feathers() {
		want = 0
	}
	if d.pedalUntil > s.t {
		return 0.12
	}
	d.pedalUntil = 0
	return want
}

// timeToShift says whether the engine is at the speed for the next gear. Nobody
// shifts up while the car stands and the wheels spin, nor on the line.
func (s *sim) timeToShift() bool {
	if !s.drv.launchClutchDone || s.gear <= 0 || s.gear >= len(s.gears) || !s.locked {
		return false
	}
	aim := s.set.ShiftSpeed[s.gear-1] + s.hand.aim[s.gear-1]
	return s.wE >= aim && s.strip.Length-s.downStrip() > 20 && s.v > 0.5*aim/s.ratio(s.gear)*s.r0
}

// downStrip is how far the car is down the strip, m: from the line, or from where it stood
// if it rolled on over the line before.
func (s *sim) downStrip() float64 {
	if s.events.WarmUp || s.events.FalseStart {
		return s.x - s.out.xStage
	}
	return s.x
}
