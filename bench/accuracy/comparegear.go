package main

import (
	"fmt"

	"traplight/internal/report"
)

// gearMargin is how far, s, inside the truth's torque-carrying span the gear
// must be right throughout.
const gearMargin = 0.1

// gears compares sequence, spans and figures by gear.
func (c *comparer) gears(t *TruthPass, p *report.Pass) {
	wrong := 0
	if len(p.Gears) != len(t.Gears) {
		c.miss("gears: %d spans, truth %d", len(p.Gears), len(t.Gears))
		wrong++
	}
	for i := range t.Gears {
		tg := &t.Gears[i]
		from, to := max(tg.Start, t.Launch)+gearMargin, min(tg.End, t.FinalLift)-gearMargin
		if i > 0 && i-1 < len(t.Shifts) {
			from = t.Shifts[i-1].TorqueOn + gearMargin
		}
		if i < len(t.Shifts) {
			to = t.Shifts[i].TorqueOff - gearMargin
		}
		if half := t.Marks["half_mile"]; half != nil {
			to = min(to, half.At-gearMargin)
		}
		if t.End > 0 {
			to = min(to, t.End-gearMargin)
		}
		for at := from; at < to; at += 0.02 {
			if g := gearAt(p, at); g != tg.Gear {
				c.miss("gears: at %.2f s gear %d, truth %d", at, g, tg.Gear)
				wrong++
				break
			}
		}
		if i < len(p.Gears) && p.Gears[i].Gear == tg.Gear {
			c.gear(tg, &p.Gears[i])
		} else if g := findGear(p, tg.Gear); g != nil {
			c.gear(tg, g)
		} else {
			c.miss("gear %d absent", tg.Gear)
		}
	}
	w := float64(wrong)
	c.add("gears wrong", "", &w, nil, 0, true)
}

func gearAt(p *report.Pass, at float64) int {
	for i := range p.Gears {
		g := &p.Gears[i]
		if g.StartS != nil && g.EndS != nil && *g.StartS <= at && at <= *g.EndS {
			return g.Gear
		}
	}
	return 0
}

func findGear(p *report.Pass, gear int) *report.Gear {
	for i := range p.Gears {
		if p.Gears[i].Gear == gear {
			return &p.Gears[i]
		}
	}
	return nil
}

// pastPeakFor is how long, s, the slip must have been past that of peak grip
// for the ceiling to be asked as an estimate.
const pastPeakFor = 0.2

func (c *comparer) gear(t *TruthGear, g *report.Gear) {
	where := fmt.Sprintf("gear %d", t.Gear)
	if t.HubMean != nil {
		c.add("mean hub torque", where, g.MeanHubTorque, g.MeanHubTorqueSD, *t.HubMean, true)
		c.add("mean wheel torque", where, g.MeanWheelTorque, g.MeanWheelTorqueSD, *t.HubMean/t.Ratio, true)
	}
	if t.HubPeak != nil {
		c.add("peak hub torque", where, g.PeakHubTorque, g.PeakHubTorqueSD, *t.HubPeak, true)
	}
	if t.CrankMean != nil {
		c.add("mean crank torque", where, g.MeanCrankTorque, g.MeanCrankTorqueSD, *t.CrankMean, false)
	}
	if t.SlipMax != nil {
		if *t.SlipMax < 0.5 {
			c.add("peak tyre slip below 0.5", where, g.PeakSlip, g.PeakSlipSD, *t.SlipMax, c.driven || t.Gear > 1)
		} else {
			c.add("peak tyre slip above 0.5", where, g.PeakSlip, g.PeakSlipSD, *t.SlipMax, c.driven || t.Gear > 1)
		}
	}
	if t.SlipMean != nil {
		c.add("mean tyre slip", where, g.MeanSlip, g.MeanSlipSD, *t.SlipMean, false)
	}
	if t.CeilingMean != nil {
		c.ceiling(t, g, where)
	}
	if t.BoostMean != nil {
		c.add("mean boost", where, g.MeanBoost, nil, *t.BoostMean, false)
	}
	if t.BackPressure != nil {
		c.add("mean back-pressure ratio", where, g.MeanBackPressure, nil, *t.BackPressure, false)
	}
	if t.FullThrottle != nil {
		c.add("full-throttle time", where, g.FullThrottleS, nil, *t.FullThrottle, false)
	}
}

func (c *comparer) ceiling(t *TruthGear, g *report.Gear, where string) {
	want := *t.CeilingMean
	bound := g.CeilingIsBound != nil && *g.CeilingIsBound
	past := t.TimePastPeak != nil && *t.TimePastPeak >= pastPeakFor
	if past {
		if bound {
			where += " (as bound)"
		}
		c.add("torque ceiling", where, g.CeilingHub, g.CeilingHubSD, want, true)
		return
	}
	switch {
	case g.CeilingHub == nil:
		c.miss("ceiling bound %s: absent", where)
	case bound:
		c.add("ceiling bound over truth", where, g.CeilingHub, nil, want, true)
	default:
		c.add("ceiling estimate elsewhere", where, g.CeilingHub, g.CeilingHubSD, want, true)
	}
	if g.CeilingEstimate != nil {
		c.add("ceiling estimate beside bound", where, g.CeilingEstimate, g.CeilingEstimateSD, want, false)
	}
}
