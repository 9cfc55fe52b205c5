package demo

import "math"

// shiftState is a gear change in progress and, afterwards, its record.
type shiftState struct {
	from, to         int
	begin            float64
	neutral, engaged float64 // 0 while not yet
	missed           bool
	cutOff           float64 // time at which the cut ended
	asked            float64 // time at which the shift last asked for a cut
	hubBefore        float64
	wBefore          float64
	vBegin, xBegin   float64
	mapBegin         float64
	n2oBegin         float64
	time             float64 // drawn duration to engagement
	clutchFrom       float64
}

func (s *sim) beginShift() {
	d := &s.drv
	if s.ideal.shifts {
		g := s.gear + 1
		i := s.ratio(g)
		s.gear = g
		s.wIn = i * s.wD
		s.wE = s.wIn
		s.locked = true
		return
	}
	k := s.gear - 1
	d.shifting = true
	d.shift = shiftState{
		from: s.gear, to: s.gear + 1, begin: s.t,
		time:   s.shiftTime * s.hand.shiftTime[k],
		missed: s.events.MissShift == s.gear,
		vBegin: s.v, xBegin: s.x, mapBegin: s.pM, wBefore: s.wE, hubBefore: s.hub,
		n2oBegin: s.n2oKg,
	}
}

// shiftStep moves a shift on. Each kind of gearbox has its own order of foot,
// hand and ignition.
func (s *sim) shiftStep(h float64) {
	d := &s.drv
	st := &d.shift
	el := s.t - st.begin
	if st.missed && st.neutral > 0 {
		if st.engaged == 0 {
			s.missStep(h)
			return
		}
		s.afterMiss()
		if s.clutch >= 1 && s.pedal >= 0.99 {
			s.endShift()
		}
		return
	}
	switch s.box {
	case synchroLift:
		s.pedal = max(0, s.pedal-h/0.05)
		s.handShift(el, 0.03, 0.045, 0.085, 0.09)
		if st.engaged > 0 {
			s.pedal = clamp((s.t-st.engaged-0.015)/0.05, 0, 1)
		}
	case synchroFlat:
		if el > 0.012 && (st.engaged == 0 || s.clutch < 0.45) {
			s.cutAsk = 1
		}
		s.handShift(el, 0.012, 0.035, 0.06, 0.055)
	case dogCut, paddleCut:
		s.cutShift(el)
	}
	if s.cutAsk > 0 {
		st.asked = s.t
	}
	// A cut that stays when the shift asks for none is slip control's or the limiter's.
	over := s.cut < 0.05 || s.t > st.asked+0.03
	if st.engaged > 0 && s.clutch >= 1 && (s.pedal >= 0.99 || s.box != synchroLift && !st.missed) && s.t > st.cutOff && over {
		s.endShift()
	}
}

func (s *sim) endShift() {
	s.out.shifts = append(s.out.shifts, s.drv.shift)
	s.drv.shifting = false
}

// handShift is clutch down, lever through neutral, synchroniser, clutch up.
// Times are seconds after the begin: clutch begins to open, takes open to do
// so, the lever leaves the gear, the clutch takes shut to close.
func (s *sim) handShift(el, press, open, out, shut float64) {
	d := &s.drv
	st := &d.shift
	if st.engaged == 0 {
		s.clutch = clamp(1-(el-press)/open, 0, 1)
		if s.clutch == 0 {
			s.locked = false
		}
		if el >= out && st.neutral == 0 {
			st.neutral = s.t
			s.gear = 0
		}
		if st.neutral > 0 && !st.missed {
			target := s.ratio(st.to) * s.wD
			if el > out+0.25*(st.time-out) {
				d.syncTorque = 70
			}
			if el >= st.time && math.Abs(s.wIn-target) < 12 || el > st.time+0.25 {
				s.engage(st.to)
				st.engaged = s.t
			}
		}
		return
	}
	s.clutch = clamp((s.t-st.engaged)/shut, 0, 1)
}

// cutShift is a dog change with the clutch closed and the ignition cut.
func (s *sim) cutShift(el float64) {
	d := &s.drv
	st := &d.shift
	if st.engaged == 0 {
		s.cutAsk = 1
		s.clutch = 1
		early := 0.35 * st.time
		if st.neutral == 0 && el > early && (math.Abs(s.hub) < 0.15*math.Abs(st.hubBefore) || el > 2*early) {
			st.neutral = s.t
			s.gear = 0
		}
		if st.neutral > 0 && el >= st.time && s.t > st.neutral+0.008 && !st.missed {
			s.engage(st.to)
			st.engaged = s.t
			st.cutOff = s.t + 0.006
			if s.box == paddleCut {
				d.shift.clutchFrom = 0.55
			}
		}
		return
	}
	if s.t < st.cutOff {
		s.cutAsk = 1
	}
	if st.clutchFrom > 0 { // an actuated clutch lets the engine down softly
		s.clutch = clamp(st.clutchFrom+(s.t-st.engaged)/0.06*(1-st.clutchFrom), 0, 1)
	}
}

// missStep is the time in which the gear is not found: the engine flares, the
// driver lifts and tries again.
func (s *sim) missStep(h float64) {
	d := &s.drv
	st := &d.shift
	el := s.t - st.neutral
	s.clutch = clamp(s.clutch-h/0.05, 0, 1)
	if s.clutch == 0 {
		s.locked = false
	}
	if el > 0.22 || s.box == synchroLift {
		s.pedal = max(0, s.pedal-h/0.06)
	}
	if s.box == dogCut || s.box == paddleCut {
		if el < 0.05 {
			s.cutAsk = 1
		}
	}
	if el > s.hand.missHold-0.2 {
		d.syncTorque = 70
	}
	if el >= s.hand.missHold {
		s.engage(st.to)
		st.engaged = s.t
		st.cutOff = s.t
	}
}

// afterMiss closes clutch and throttle when the gear has been found late.
func (s *sim) afterMiss() {
	st := &s.drv.shift
	s.clutch = clamp((s.t-st.engaged)/0.1, 0, 1)
	s.pedal = clamp((s.t-st.engaged-0.02)/0.06, 0, 1)
}

// syncSpeed is what the synchroniser pulls the input shaft to.
func (d *driver) syncSpeed(s *sim) float64 {
	if !d.shifting {
		return s.wIn
	}
	return s.ratio(d.shift.to) * s.wD
}
