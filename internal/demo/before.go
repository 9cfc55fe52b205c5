package demo

// warmUp drives a slow stretch in first gear and stops again, as cars do on their way
// to the line: up to 14 m/s, and a braked stop.
func (s *sim) warmUp(el float64) {
	d := &s.drv
	switch {
	case s.gear != 1:
		s.clutch, s.pedal, s.brake = 0, 0, 0.5
		if el > 0.2 {
			s.engage(1)
		}
	case el < 14:
		s.brake = 0
		s.rollAt(min(14, 1.4*(el-0.2)))
	default:
		s.halt(0.3)
		if s.v < 0.05 && el > 15 {
			d.settled += s.h
			if d.settled > 3 {
				d.settled = 0
				d.next(s)
			}
		}
	}
}

// falseStart rolls off at once as the pass does, is called back, and stops some metres on.
func (s *sim) falseStart(el float64) {
	d := &s.drv
	switch {
	case el < 1.2:
		s.clutch, s.brake = 0, 0.6
		s.pedal = clamp(0.002*(0.6*s.set.LaunchSpeed-s.wE), 0, 0.5)
		if s.gear != 1 {
			s.engage(1)
		}
	case el < 2.2:
		s.brake = 0
		s.pedal = clamp(0.15+0.002*(0.6*s.set.LaunchSpeed-s.wE), 0, 0.6)
		s.clutch = clamp(0.9*(el-1.2), 0, 0.5)
	default:
		s.halt(0.45)
		if s.v < 0.05 {
			d.settled += s.h
			if d.settled > 2 {
				d.settled = 0
				d.next(s)
			}
		}
	}
}

// rollAt keeps a speed, m/s, in first gear with the clutch slipping as it must.
func (s *sim) rollAt(want float64) {
	switch {
	case s.wIn > 1.15*s.idle || s.locked && s.wIn > 0.9*s.idle:
		s.clutch = min(1, s.clutch+2*s.h)
	case !s.locked:
		s.clutch = clamp(0.004+0.03*(want-s.v), 0, 0.08)
	default:
		s.clutch, s.locked = 0, false
	}
	s.pedal = clamp(0.04+0.04*(want-s.v), 0, 0.25)
	if !s.locked {
		s.pedal = clamp(0.02+6e-4*(1.4*s.idle-s.wE), 0, 0.15)
	}
}

// halt brakes with the clutch out.
func (s *sim) halt(brake float64) {
	s.clutch, s.locked, s.pedal = 0, false, 0
	s.brake = brake
	if s.v < 0.5 {
		s.brake = 0.15
	}
}

// feathers says whether the foot is off the pedal on purpose in the middle of the pass.
func (s *sim) feathers() bool {
	ev, d := &s.events, &s.drv
	if ev.FeatherFor <= 0 || s.downStrip() < ev.FeatherAt || d.shifting && d.featherUntil == 0 {
		return false
	}
	if d.featherUntil == 0 {
		d.featherUntil = s.t + ev.FeatherFor
		d.pedals = append(d.pedals, span{s.t, d.featherUntil})
	}
	return s.t < d.featherUntil
}
