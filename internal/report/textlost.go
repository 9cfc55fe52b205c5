package report

import (
	"cmp"
	"fmt"
	"slices"

	"traplight/internal/quantity"
)

func (p *printer) whereSpeedWent(s *Pass) {
	said := p.whereSaid(s)
	if len(said) == 0 {
		return
	}
	p.WriteString("\n")
	p.heading("Where the speed went")
	for _, l := range said {
		p.say("%s", l)
	}
	p.account(s).write(&p.Builder, "  ", p.limit)
}

// whereSaid is the account in sentences: what cost most, and what the shifts took.
func (p *printer) whereSaid(s *Pass) (said []string) {
	if lost := s.SayLost(p.world); lost != "" {
		said = append(said, lost)
	}
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
	if counted > 0 {
		text := fmt.Sprintf("%s took %s with the torque down", upperFirst(countOf(counted, "shift")), seconds(down))
		if back > 0 {
			text += fmt.Sprintf("; boost took another %s to come back", seconds(back))
		}
		said = append(said, text+".")
	}
	return said
}

// account is the ledger by cause, in each group the costliest first.
func (p *printer) account(s *Pass) *table {
	t := new(table)
	t.leftColumn("Lost to")
	t.column("at the trap", p.unit(quantity.DimSpeed))
	t.leftColumn("")
	for _, group := range []string{"ours", "given"} {
		var lines []*Ledger
		for i := range s.Ledger {
			if l := &s.Ledger[i]; l.Group == group && l.SpeedMps != nil {
				lines = append(lines, l)
			}
		}
		slices.SortStableFunc(lines, func(a, b *Ledger) int { return cmp.Compare(*b.SpeedMps, *a.SpeedMps) })
		for _, l := range lines {
			what := group
			if g := gained(l); g != "" {
				what += ": " + g
			}
			t.row(l.Cause, p.cell(quantity.DimSpeed, l.SpeedMps, l.SDMps), what)
		}
	}
	return t
}

// gains says why lines of the ledger are below zero.
func (p *printer) gains(s *Pass) (said []string) {
	for i := range s.Ledger {
		l := &s.Ledger[i]
		if g := gained(l); g != "" {
			said = append(said, fmt.Sprintf("%s: %s, %s.", upperFirst(l.Cause), p.with(quantity.DimSpeed, l.SpeedMps, l.SDMps), g))
		}
	}
	return said
}

// tellGain is the gain, m/s, from which a line below zero is explained.
const tellGain = 0.02

// gained says why a line is below zero, where it surely is; "" where it is not.
func gained(l *Ledger) string {
	if l.SpeedMps == nil || l.SDMps == nil || *l.SpeedMps > -max(*l.SDMps, tellGain) {
		return ""
	}
	switch l.Cause {
	case "boost recovery":
		return "gained, for boost stood over its target"
	case "power":
		return "gained, for the engine gave more than usual"
	case "driver":
		return "gained, for the driver did better than usual"
	case "wind":
		return "gained, by tail wind"
	case "air":
		return "gained, by air denser than standard"
	}
	return "gained"
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
