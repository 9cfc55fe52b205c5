package demo

import "math"

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
