package plan

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// What is taken of a fuel pump, of which a log shows no more than that it kept up: the rail
// stays where it belongs until the pump is short, and only then falls, the duty rises and the
// mixture goes lean. Common practice, no source.
const (
	// A pump is chosen to feed its injectors fully open, at the rail's pressure with the highest
	// boost run.
	pumpSpread = 0.12 // 1, of that
	// Pumps bring less against more pressure, and the rail rises with boost.
	pumpFall = 0.10 / 100e3 // 1/Pa
	// Of a change of flow, how much may be wrong.
	supplyDoubt = 0.10 // 1
)

// supply fills in what share of the pump's fuel the passes run so far took: by the
// injectors' duty as read, else as worked out. That it sufficed there is taken for granted.
func (s *search) supply() {
	u := unread{spread: pumpSpread}
	for _, duty := range s.gauge.duty.read {
		if duty > u.share { // not a number: not read
			u.share = duty
		}
	}
	if u.share == 0 {
		d := s.unreadDuty(1)
		u.share, u.spread = d.share, math.Hypot(pumpSpread, d.spread)
	}
	if u.share > 0 {
		s.unread[fuelSupply] = u
	}
}

// fed is a gear's need of fuel over the most of the record, 1, put up by what the pump brings
// less against the rail's pressure there.
func (s *search) fed(g *sim.Gear, most float64) float64 {
	return g.MaxFlow / most * math.Exp(pumpFall*max(0, g.MaxBoost-slices.Max(s.ran.boost)))
}
