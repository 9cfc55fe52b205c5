package report

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/quantity"
)

// with prints a value with its spread: "515 lb-ft (± 20)".
func (p *printer) with(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, s, u := p.parts(d, v, sd)
	out := n
	if u != "" {
		out += " " + u
	}
	if s != "" {
		out += " (± " + s + ")"
	}
	return out
}

// bare prints the number alone: the unit was told already.
func (p *printer) bare(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, _, _ := p.parts(d, v, sd)
	return n
}

// cell prints number and spread for a table: "2.237 ± 0.003".
func (p *printer) cell(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, s, _ := p.parts(d, v, sd)
	if s != "" {
		n += " ± " + s
	}
	return n
}

func (p *printer) parts(d quantity.Dimension, v, sd *float64) (number, spread, unit string) {
	dev := 0.0
	if sd != nil {
		dev = *sd
	}
	return p.world.Parts(d, *v, dev)
}

// distance prints a length to the whole unit.
func (p *printer) distance(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%.0f", p.world.Of(quantity.DimLength, *v))
}

func (p *printer) unit(d quantity.Dimension) string {
	_, _, u := p.world.Parts(d, 1, 0)
	return u
}

func (p *printer) headline(s *Pass) {
	last := (*Split)(nil)
	for i := range s.Splits {
		k := &s.Splits[i]
		if s.DistanceM != nil && k.DistanceM != nil && math.Abs(*k.DistanceM-*s.DistanceM) < 0.5 {
			last = k
		}
	}
	switch {
	case s.Trap != nil && s.Trap.SpeedMps != nil:
		text := p.with(quantity.DimSpeed, s.Trap.SpeedMps, s.Trap.SDMps) + " through the trap"
		if last != nil && last.TimeS != nil {
			text += ", " + p.with(quantity.DimTime, last.TimeS, last.TimeSDS) + " from rollout"
		}
		p.say("%s.", text)
	case len(s.Splits) > 0:
		k := s.Splits[len(s.Splits)-1]
		p.say("%s. Last mark passed: %s at %s, %s.", short(s), k.Mark,
			p.with(quantity.DimSpeed, k.SpeedMps, k.SpeedSDMps), p.with(quantity.DimTime, k.TimeS, k.TimeSDS))
	case s.LaunchS == nil:
		p.say("The log begins with the car moving: where launch, marks and line were, it cannot tell.")
	default:
		p.say("%s, and before any mark.", short(s))
	}
	if s.TrapIfNoLift != nil {
		early := ""
		if s.LiftS != nil && s.FinishS != nil && *s.FinishS > *s.LiftS {
			early = fmt.Sprintf(" %.2f s before the line", *s.FinishS-*s.LiftS)
		}
		p.say("You lifted%s: without that the trap would have read %s.", early,
			p.with(quantity.DimSpeed, s.TrapIfNoLift.SpeedMps, s.TrapIfNoLift.SDMps))
	}
	for i := range s.Shifts {
		if s.Shifts[i].Missed {
			p.say("The shift from %s to %s was missed at first.", ordinal(s.Shifts[i].From), ordinal(s.Shifts[i].To))
		}
	}
	if t := s.TakeUp.Text(p.world); t != "" {
		p.say("%s", t)
	}
}

// short says how a pass ended without its line: a log that ends first does not tell whether
// the line was reached.
func short(s *Pass) string {
	if s.LiftS == nil {
		return "The log ends before the line"
	}
	return "The pass was given up before the line"
}

// grip says by gear what the tyres carry and what was run.
func (p *printer) grip(s *Pass) {
	said := false
	for i := range s.Gears {
		g := &s.Gears[i]
		if g.CeilingWheel == nil || g.MeanWheelTorque == nil {
			continue
		}
		ran := p.bare(quantity.DimTorque, g.MeanWheelTorque, g.MeanWheelTorqueSD)
		if whole := p.bare(quantity.DimTorque, g.MeanWheelTorque, nil); len(whole) < len(ran) {
			ran = whole // a sentence needs no tenths
		}
		if bound := g.CeilingIsBound != nil && *g.CeilingIsBound; bound && *g.CeilingWheel <= *g.MeanWheelTorque {
			p.say("%s gear: the tyres carry at least the %s that you ran.", upperFirst(ordinal(g.Gear)),
				p.with(quantity.DimTorque, g.MeanWheelTorque, g.MeanWheelTorqueSD))
		} else if bound {
			p.say("%s gear: the tyres carry at least %s; you ran %s.", upperFirst(ordinal(g.Gear)),
				p.with(quantity.DimTorque, g.CeilingWheel, nil), ran)
		} else {
			p.say("%s gear: the tyres carry %s; you ran %s.", upperFirst(ordinal(g.Gear)),
				p.with(quantity.DimTorque, g.CeilingWheel, g.CeilingWheelSD), ran)
		}
		said = true
	}
	if said {
		p.say("(Torque is wheel torque: wheel power over engine speed, the mean at full throttle.)")
		p.WriteString("\n")
	}
}

func countOf(n int, noun string) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	w := fmt.Sprint(n)
	if n < len(words) {
		w = words[n]
	}
	if n != 1 {
		noun += "s"
	}
	return w + " " + noun
}

func ordinal(n int) string {
	names := []string{"neutral", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	if n >= 0 && n < len(names) {
		return names[n]
	}
	return fmt.Sprintf("%dth", n)
}

func percent(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%.1f", 100**v)
}

func plain(v *float64, decimals int) string {
	if v == nil {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%.*f", decimals, *v))
}

// seconds is a sum of times, as precise as it is of use.
func seconds(t float64) string { return fmt.Sprintf("%.2f s", t) }
