package forecast

import (
	"fmt"
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// launching is what a launch at another engine speed than the record's does.
type launching struct {
	shifts         []fitcar.LaunchShift // by some of the members; none: the model cannot tell
	like           float64              // rad/s, launches of the record at about this engine speed are drawn; 0 any
	response, wide float64              // 1, how much of the model's effect the car shows, and its spread
}

// How launch engine speed acts where the model's clutch cannot tell: speed after the
// launch goes with it by this power, give or take as much. Common practice, no source.
const blindLaunch = 0.3 // 1

// Of boost that the exhaust would let rise at the line with more engine speed, what comes:
// boost control and driver hold some of it. Common practice, no source.
const freeBoost, freeBoostSD = 0.5, 0.3 // 1

// launchMembers is how many of the fit's members work a launch out.
const launchMembers = 4

// SetLaunch asks for a launch at an engine speed, rad/s; 0 leaves it as it was run.
func (n *Next) SetLaunch(m *fitcar.Model, speed float64) {
	run, _, _ := m.LaunchRun()
	n.LaunchSpeed, n.launch = speed, launching{like: run}
	if speed <= 0 || run <= 0 || asRun(speed, run) {
		return
	}
	n.launch.response, n.launch.wide, _ = m.LaunchResponse()
	for i := range min(launchMembers, len(m.Members)) {
		mem := &m.Members[i]
		car, p := Usual(m, n, mem)
		l, ok := m.Launcher(car, p)
		if !ok {
			n.launch.shifts = nil
			return
		}
		s, ok := l.To(speed)
		if !ok {
			n.launch.shifts = nil
			return
		}
		n.launch.shifts = append(n.launch.shifts, s)
	}
}

// LaunchEffect is what the launch asked for does to clutch and tyres, as the mean over
// the members that were asked; ok is false when the model's clutch cannot tell.
func (n *Next) LaunchEffect() (s fitcar.LaunchShift, ok bool) {
	k := float64(len(n.launch.shifts))
	if k == 0 {
		return s, false
	}
	for _, x := range n.launch.shifts {
		s.Bite, s.Heat, s.Spun = s.Bite+x.Bite/k, s.Heat+x.Heat/k, s.Spun+x.Spun/k
		s.Held.Speed, s.Free.Speed = s.Held.Speed+x.Held.Speed/k, s.Free.Speed+x.Free.Speed/k
	}
	return s, true
}

// launchNote tells what is taken for the effect of a launch engine speed.
func (n *Next) launchNote(m *fitcar.Model) {
	run, low, high := m.LaunchRun()
	if run <= 0 || n.LaunchSpeed <= 0 || asRun(n.LaunchSpeed, run) {
		return
	}
	text := fmt.Sprintf("launch at %.0f rpm", n.LaunchSpeed*30/math.Pi)
	if NewLaunch(n.LaunchSpeed, low, high) {
		text += fmt.Sprintf(", not run before (so far %.0f)", run*30/math.Pi)
	}
	s, ok := n.LaunchEffect()
	if !ok {
		n.Notes = append(n.Notes, text+": what it does is not known from this car, and the model's clutch cannot tell; a wide prior is taken")
		return
	}
	from := "the record never changed it, so that half of this may be wrong"
	if _, _, taught := m.LaunchResponse(); taught {
		from = fmt.Sprintf("launches of the record at other engine speeds show %.1f ± %.1f of it", n.launch.response, n.launch.wide)
	}
	n.Notes = append(n.Notes, fmt.Sprintf("%s: by flywheel, clutch and tyres the car is %+.1f %% faster where the clutch has closed; %s", text, 100*s.Mix(freeBoost).Speed, from))
}

// asRun tells that a launch engine speed is the one run, both rad/s: nobody sets it finer
// than some 20 rpm.
func asRun(speed, run float64) bool { return math.Abs(speed/run-1) < 0.005 }

// NewLaunch tells that a launch engine speed lies outside what was run: low to high, all
// in rad/s.
func NewLaunch(speed, low, high float64) bool {
	return speed > high*1.015 || speed < low*0.985
}

// start moves the start of a pass by what the launch asked for changes.
func (n *Next) start(s *sim.Start, m *fitcar.Model, l *luck) {
	if n.LaunchSpeed <= 0 {
		return
	}
	k := len(n.launch.shifts)
	if k == 0 {
		run, _, _ := m.LaunchRun()
		if run <= 0 || asRun(n.LaunchSpeed, run) {
			return
		}
		f := math.Exp(math.Log(n.LaunchSpeed/run) * blindLaunch * (1 + l.ratio))
		s.V, s.X, s.Wheel = s.V*f, s.X*f, s.Wheel*f
		return
	}
	shift := &n.launch.shifts[l.member%k]
	by := n.launch.response + n.launch.wide*l.ratio
	step := shift.Mix(min(1, max(0, freeBoost+freeBoostSD*l.line)))
	f := math.Exp(by * step.Speed)
	s.V, s.Wheel = s.V*f, s.Wheel*f
	s.Time += by * step.Time
	s.Head = max(-0.1, s.Head+by*step.Head)
	s.Bite.Torque *= 1 + by*(shift.Bite-1)
	s.Bite.Heat *= shift.Heat
}
