package health

import (
	"fmt"

	"traplight/internal/quantity"
)

// verdict applies the rule of docs/verdict.md.
func (j *judge) verdict() Verdict {
	if !j.enough() {
		if len(j.findings) == 0 {
			return None
		}
	}
	v := Clear
	for _, f := range j.findings {
		switch {
		case stops(f):
			return StandDown
		default:
			v = Inspect
		}
	}
	return v
}

// stops says whether a finding forbids the next pass until somebody has looked:
// what can destroy the engine or take the car off the road, unless it is slight;
// anything else when it is gross, but for a sensor's own fault.
func stops(f Finding) bool {
	switch f.Kind {
	case OilSupply, FuelSupply, MixtureLean, CylinderDown, Ignition, CoolantPressure, CrankcasePressure, Knock, TurboOverspeed, Tyre, Overheat, Nitrous, Throttle:
		return f.Severity != Subtle
	case Sensor:
		return false
	}
	return f.Severity == Gross
}

// groups are what a verdict rests on, with the watches that judge them and the
// channel that would.
var groups = []struct {
	name    string
	watches []string
	missing string
	vital   bool
}{
	{"torque", []string{"torque over air"}, "no manifold pressure with acceleration or speed", true},
	{"boost", []string{"boost over target", "boost short of target", "boost rise", "boost course"}, "no manifold pressure channel", false},
	{"turbo", []string{"turbo speed", "back-pressure"}, "no turbo speed or turbine inlet pressure channel, which a boost leak, a blocked inlet or a choked turbine moves first", false},
	{"mixture", []string{"lambda"}, "no lambda channel", true},
	{"mixture from bank to bank", []string{"lambda apart", "exhaust apart"}, "no two lambda or exhaust temperature channels to hold against each other", false},
	{"fuel supply", []string{"fuel over manifold"}, "no fuel pressure channel, or no manifold pressure beside it", true},
	{"exhaust temperature", []string{"exhaust temperature"}, "no exhaust temperature channel", true},
	{"oil", []string{"oil pressure"}, "no pressure channel", true},
	{"oil at idle", []string{"oil pressure at idle"}, "no idling before the launch or after the pass in the log, or no pressure channel", false},
	{"coolant pressure", []string{"coolant pressure"}, "no pressure channel", false},
	{"cooling", []string{"coolant heat"}, "no coolant temperature channel", false},
	{"crankcase", []string{"crankcase pressure"}, "no pressure channel", false},
	{"charge cooling", []string{"charge heat"}, "no charge temperature channel", false},
	{"knock", []string{"knock level"}, "no knock channel", false},
	{"ignition", []string{"ignition"}, "no ignition angle channel", false},
	{"clutch", []string{"engine over wheels", "engine over road"}, "no engine speed with driven wheels or road speed", false},
	{"tyres", []string{"tyre slip", "rolling radius", "driven pair", "tyre pressure"}, "no driven wheel speed or tyre pressure channel", false},
	{"electrics", []string{"voltage"}, "no battery voltage channel", false},
}

func (j *judge) judged(watches []string) bool {
	for _, o := range j.obs {
		for _, w := range watches {
			if (role{watch: w}).covers(o.id) && !o.blind {
				return true
			}
		}
	}
	return false
}

// enough says whether anything vital was judged; of a pass that was hardly ever let run (halts),
// from which few rows are left of anything, both what the engine gives and what it burns.
func (j *judge) enough() bool {
	if j.halting && !(j.judged([]string{"torque over air"}) && j.judged([]string{"lambda"})) {
		return false
	}
	for _, g := range groups {
		if g.vital && j.judged(g.watches) {
			return true
		}
	}
	return false
}

func (j *judge) notJudged() []string {
	out := []string{}
	if s := j.endsWithin(); s != "" {
		out = append(out, s)
	}
	if len(j.past) == 0 {
		out = append(out, "a few per cent less torque, boost or mixture than usual, or what was so from the launch on: no earlier pass tells what is usual on this car")
	}
	for _, g := range groups {
		if !j.judged(g.watches) {
			out = append(out, g.name+": "+j.lacking(g.name, g.missing))
		}
	}
	if j.sheet.Nitrous.Flow > 0 && j.set.First(quantity.BottlePressure) == nil {
		out = append(out, "nitrous bottle: no pressure channel")
	}
	return out
}

// endsWithin says that the log ends while the pass still goes on: a recorder that lost
// its supply has not seen the fastest part. "" where it saw the finish or the lift.
func (j *judge) endsWithin() string {
	p := j.pass
	if p.Complete || p.Finish != nil || p.Lift != nil || j.end <= j.launch {
		return ""
	}
	return fmt.Sprintf("the rest of the pass: the log ends %.1f s after the launch, before a finish or a lift", j.end-j.launch)
}
