package report

import (
	"fmt"

	"traplight/internal/quantity"
)

func (p *printer) whereSpeedWent(s *Pass) {
	lines := s.Ledger
	down, back, counted := 0.0, 0.0, 0
	for i := range s.Shifts {
		if d := s.Shifts[i].DurationS; d != nil {
			down += *d
			counted++
		}
		if r := s.Shifts[i].RecoveryS; r != nil {
			back += *r
		}
	}
	if len(lines) == 0 && counted == 0 {
		return
	}
	p.WriteString("\n")
	p.heading("Where the speed went")
	if lost := s.SayLost(p.world); lost != "" {
		p.say("%s", lost)
	}
	if counted > 0 {
		text := fmt.Sprintf("%s took %s with the torque down", upperFirst(countOf(counted, "shift")), seconds(down))
		if back > 0 {
			text += fmt.Sprintf("; boost took another %s to come back", seconds(back))
		}
		p.say("%s.", text)
	}
	for _, l := range lines {
		if l.SpeedMps != nil {
			p.say("%s (%s): %s%s.", upperFirst(l.Cause), l.Group, p.with(quantity.DimSpeed, l.SpeedMps, l.SDMps), gained(&l))
		}
	}
}

// Gained begins what is said of a line below zero.
const Gained = ": gained"

// tellGain is the gain, m/s, from which a line below zero is explained.
const tellGain = 0.02

// gained says why a line is below zero, where it surely is.
func gained(l *Ledger) string {
	if l.SDMps == nil || *l.SpeedMps > -max(*l.SDMps, tellGain) {
		return ""
	}
	switch l.Cause {
	case "boost recovery":
		return Gained + ", for boost stood over its target"
	case "power":
		return Gained + ", for the engine gave more than usual"
	case "driver":
		return Gained + ", for the driver did better than usual"
	case "wind":
		return Gained + ", by tail wind"
	case "air":
		return Gained + ", by air denser than standard"
	}
	return Gained
}

// SayLost is the first line of where the speed went, in the units of w: what cost most of
// what the crew can change; "" without a ledger.
func (s *Pass) SayLost(w quantity.World) string {
	var most *Ledger
	for i := range s.Ledger {
		l := &s.Ledger[i]
		if l.Group == "ours" && l.SpeedMps != nil && (most == nil || *l.SpeedMps > *most.SpeedMps) {
			most = l
		}
	}
	if most == nil {
		return ""
	}
	p := printer{world: w}
	cost := fmt.Sprintf("%s: %s at the trap.", most.Cause, p.with(quantity.DimSpeed, most.SpeedMps, most.SDMps))
	if most.SDMps != nil && *most.SpeedMps < *most.SDMps {
		return "Nothing of what is ours to change stands out; the most is " + cost
	}
	return "Most of what is ours to change went to " + cost
}
