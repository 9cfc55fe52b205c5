package main

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/report"
)

// Row is one comparison of a result with the truth.
type Row struct {
	Quantity string  `json:"quantity"`
	Log      string  `json:"log"`
	Pass     int     `json:"pass"`
	Where    string  `json:"where,omitempty"` // mark, gear or shift
	Healthy  bool    `json:"healthy"`
	Got      float64 `json:"got"`
	Want     float64 `json:"want"`
	Error    float64 `json:"error"` // in the quantity's own scale: SI, or % when relative
	SD       float64 `json:"sd"`    // in the same scale; 0 when none is stated
}

// Z is the error in stated standard deviations, NaN without one.
func (r Row) Z() float64 {
	if r.SD <= 0 {
		return math.NaN()
	}
	return r.Error / r.SD
}

// Miss is a result that is wrong in kind: absent, invented or another gear.
type Miss struct {
	Log     string `json:"log"`
	Pass    int    `json:"pass"`
	Healthy bool   `json:"healthy"`
	What    string `json:"what"`
}

// Findings are all comparisons of one run.
type Findings struct {
	Rows   []Row  `json:"rows"`
	Misses []Miss `json:"misses"`
	// Names compare the channels' meanings with the truth's.
	Names []Naming `json:"names"`
	// Notes are what the reports assumed, and the problems of their channels.
	Notes []string `json:"notes"`
}

type comparer struct {
	out     *Findings
	log     string
	pass    int
	healthy bool
	// accelerometer says that the log has one; the launch is judged by it.
	accelerometer bool
	// driven says that the driven wheels have a sensor: else slip of the launch's gear is
	// not asked for.
	driven bool
}

func (c *comparer) miss(format string, args ...any) {
	c.out.Misses = append(c.out.Misses, Miss{c.log, c.pass, c.healthy, fmt.Sprintf(format, args...)})
}

// add compares got with want; both may be absent. An absent result where there
// is a truth is a miss when required.
func (c *comparer) add(quantity, where string, got, sd *float64, want float64, required bool) {
	if got == nil {
		if required {
			c.miss("%s %s: absent, truth %.4g", quantity, where, want)
		}
		return
	}
	r := Row{Quantity: quantity, Log: c.log, Pass: c.pass, Where: where, Healthy: c.healthy, Got: *got, Want: want}
	if sd != nil {
		r.SD = *sd
	}
	r.Error = *got - want
	if q := quantityOf(quantity); q != nil && q.Percent {
		r.Error *= 100 / want
		r.SD *= 100 / math.Abs(want)
	}
	c.out.Rows = append(c.out.Rows, r)
}

// drivenBy lists, by layout, the quantities that tell the driven wheels' speed.
var drivenBy = map[string][]string{
	"front": {"wheel_speed_fl", "wheel_speed_fr", "driven_speed"},
	"rear":  {"wheel_speed_rl", "wheel_speed_rr", "driven_speed"},
	"all":   {"wheel_speed_fl", "wheel_speed_fr", "wheel_speed_rl", "wheel_speed_rr", "driven_speed"},
}

// passTolerance is how far, s, a found launch may lie from the true one to be
// the same pass at all.
const passTolerance = 2.5

// compareLog matches the passes of a report with those of the truth.
func compareLog(out *Findings, t *Truth, r *report.Report) {
	used := make([]bool, len(r.Passes))
	accelerometer, driven := false, false
	for _, ch := range r.Log.Channels {
		driven = driven || ch.Quantity != nil && slices.Contains(drivenBy[t.Layout()], *ch.Quantity)
		accelerometer = accelerometer || (ch.Quantity != nil && *ch.Quantity == "acceleration_long")
	}
	for i := range t.Passes {
		tp := &t.Passes[i]
		c := &comparer{out: out, log: t.ID, pass: tp.Index, healthy: tp.Healthy, accelerometer: accelerometer, driven: driven}
		best, at := math.Inf(1), -1
		for j := range r.Passes {
			if l := r.Passes[j].LaunchS; l != nil && !used[j] && math.Abs(*l-tp.Launch) < best {
				best, at = math.Abs(*l-tp.Launch), j
			}
		}
		if tp.Gone && best > passTolerance {
			continue
		}
		if best > passTolerance {
			c.miss("pass not found, launch at %.2f s", tp.Launch)
			continue
		}
		used[at] = true
		c.compare(tp, &r.Passes[at])
	}
	for j, u := range used {
		if !u {
			if r.Passes[j].LaunchS == nil && slices.ContainsFunc(t.Passes, func(p TruthPass) bool { return p.Gone }) {
				continue // what is left of a pass whose launch the log does not hold
			}
			c := &comparer{out: out, log: t.ID, pass: j, healthy: true}
			when := math.NaN()
			if l := r.Passes[j].LaunchS; l != nil {
				when = *l
			}
			c.miss("pass invented, launch at %.2f s", when)
		}
	}
}

var markNames = []struct{ truth, report string }{
	{"60ft", "60 ft"}, {"330ft", "330 ft"}, {"eighth_mile", "1/8 mile"},
	{"1000ft", "1000 ft"}, {"quarter_mile", "1/4 mile"}, {"half_mile", "1/2 mile"},
}

func (c *comparer) compare(t *TruthPass, p *report.Pass) {
	launch := "launch"
	if !c.accelerometer {
		launch = "launch without accelerometer"
	}
	c.add(launch, "", p.LaunchS, p.LaunchSDS, t.Launch, true)
	c.add("rollout", "", p.RolloutS, p.RolloutSDS, t.Rollout, true)
	c.takeUp(t, p)
	for _, m := range markNames {
		want := t.Marks[m.truth]
		got := findSplit(p, m.report)
		switch {
		case want == nil && got == nil:
		case want == nil:
			c.miss("split %s invented", m.report)
		case got == nil && t.End > 0 && want.At > t.End:
		case got == nil:
			c.miss("split %s absent", m.report)
		default:
			c.add("split time", m.report, got.TimeS, got.TimeSDS, want.FromRollout, true)
			c.add("split speed", m.report, got.SpeedMps, got.SpeedSDMps, want.V, true)
			if m.report == "1/2 mile" {
				c.add("half-mile time", m.report, got.TimeS, got.TimeSDS, want.FromRollout, true)
			}
		}
	}
	switch {
	case t.Trap != nil && p.Trap != nil:
		c.add("trap", "", p.Trap.SpeedMps, p.Trap.SDMps, t.Trap.Mean, true)
	case t.Trap != nil:
		c.miss("trap absent")
	case p.Trap != nil:
		c.miss("trap invented")
	}
	if t.Complete != p.Complete {
		c.miss("complete = %v, truth %v", p.Complete, t.Complete)
	}
	if p.LiftS != nil {
		c.add("final lift", "", p.LiftS, nil, t.FinalLift, false)
	}
	c.gears(t, p)
	c.shifts(t, p)
	c.power(t, p)
	if p.Air != nil {
		c.add("air density", "", p.Air.Density, p.Air.DensitySD, t.Air.Density, true)
	} else {
		c.miss("air density absent")
	}
}

func findSplit(p *report.Pass, mark string) *report.Split {
	for i := range p.Splits {
		if p.Splits[i].Mark == mark {
			return &p.Splits[i]
		}
	}
	return nil
}

func (c *comparer) power(t *TruthPass, p *report.Pass) {
	switch {
	case t.Power == nil && p.Power == nil:
		return
	case t.Power == nil:
		c.miss("peak power invented")
		return
	case p.Power == nil:
		c.miss("peak power absent")
		return
	}
	w, tw := p.Power, t.Power
	c.add("peak wheel power", "", w.PeakWheelW, w.PeakWheelSDW, tw.Power, true)
	// The engine's state is compared only when the peak was found in the same
	// place: power is flat near its peak.
	if w.AtS == nil || math.Abs(*w.AtS-tw.At) > 0.15 {
		c.add("time of peak power", "", w.AtS, nil, tw.At, false)
	} else {
		c.add("time of peak power", "", w.AtS, nil, tw.At, false)
		c.add("engine speed at peak power", "", w.EngineSpeed, nil, tw.EngineSpeed*math.Pi/30, false)
	}
	if tw.FuelFlow != nil {
		c.add("fuel flow at peak power", "", w.FuelFlow, nil, *tw.FuelFlow, false)
	}
	if tw.BackPressure != nil {
		c.add("back-pressure ratio at peak power", "", w.BackPressureRatio, nil, *tw.BackPressure, false)
	}
	if tw.CrankPower != nil {
		c.add("power by fuel", "", w.ByFuelW, w.ByFuelSDW, *tw.CrankPower, false)
		c.add("crank power by motion", "", w.CrankW, w.CrankSDW, *tw.CrankPower, false)
	}
	if tw.Lambda != nil {
		if g := findGear(p, tw.Gear); g != nil {
			c.add("lambda in the gear of peak power", "", g.Lambda, nil, *tw.Lambda, false)
		}
	}
}

// takeUp compares how the clutch took the car up.
func (c *comparer) takeUp(t *TruthPass, p *report.Pass) {
	want, got := t.TakeUp, p.TakeUp
	if want == nil || got == nil {
		return
	}
	c.add("engine speed at the line", "", got.EngineSpeed, got.EngineSpeedSD, want.EngineSpeed*math.Pi/30, false)
	c.add("boost at the line", "", got.Boost, nil, want.Manifold-t.Air.Pressure, false)
	if want.Closed != nil && want.ClosedAt != nil {
		c.add("launch clutch closed", "", got.ClosedS, got.ClosedSDS, *want.Closed, false)
		c.add("engine speed as it closed", "", got.ClosedEngine, nil, *want.ClosedAt*math.Pi/30, false)
	}
}
