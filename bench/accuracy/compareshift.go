package main

import (
	"fmt"
	"math"

	"traplight/internal/report"
)

func (c *comparer) shifts(t *TruthPass, p *report.Pass) {
	if len(p.Shifts) != len(t.Shifts) {
		c.miss("shifts: %d, truth %d", len(p.Shifts), len(t.Shifts))
	}
	for i := range t.Shifts {
		ts := &t.Shifts[i]
		where := fmt.Sprintf("shift %d-%d", ts.From, ts.To)
		s := findShift(p, ts)
		if s == nil {
			c.miss("%s absent", where)
			continue
		}
		c.add("shift start", where, s.StartS, s.StartSDS, ts.TorqueOff, true)
		c.add("shift end", where, s.EndS, s.EndSDS, ts.TorqueOn, true)
		c.recovery("boost recovery", where, s.RecoveryS, s.RecoverySDS, ts.Recovery(t.Air.Pressure))
		c.recovery("recovery to target", where, s.ToTargetS, s.ToTargetSDS, ts.RecoveryToTarget(t.Air.Pressure))
		before, lowest := ts.MapStart-t.Air.Pressure, ts.MapMin-t.Air.Pressure
		c.add("boost before shift", where, s.BoostBefore, nil, before, false)
		c.add("lowest boost", where, s.BoostMin, nil, lowest, false)
		if g := findGear(p, ts.From); g != nil {
			c.add("shift engine speed", where, g.ShiftEngineSpeed, nil, ts.EngineSpeed*math.Pi/30, false)
		}
		if s.Missed != ts.Missed {
			c.miss("%s: missed = %v, truth %v", where, s.Missed, ts.Missed)
		}
	}
}

func (c *comparer) recovery(quantity, where string, got, sd, want *float64) {
	switch {
	case want == nil && got == nil:
	case want == nil:
		c.miss("%s %s: %.3f s given though not reached", quantity, where, *got)
	default:
		c.add(quantity, where, got, sd, *want, true)
	}
}

func findShift(p *report.Pass, t *TruthShift) *report.Shift {
	for i := range p.Shifts {
		s := &p.Shifts[i]
		if s.From == t.From && s.To == t.To && s.StartS != nil && math.Abs(*s.StartS-t.TorqueOff) < 1 {
			return s
		}
	}
	return nil
}
