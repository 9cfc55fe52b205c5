package plan

import (
	"testing"

	"traplight/internal/sim"
)

// A pump that fed its injectors half open may feed more; of one whose injectors were nearly
// wide open nothing is promised. What was run, or less, is never in doubt.
func TestSupply(t *testing.T) {
	s := searching(t)
	high := 0.0
	for _, b := range s.ran.boost {
		high = max(high, b)
	}
	chance := func(duty, flow, boost float64) float64 {
		s.gauge.duty = newMeter(len(s.ran.boost))
		s.gauge.duty.see(1, duty, 1)
		s.unread = map[string]unread{}
		s.supply()
		u := s.unread[fuelSupply]
		if u.share != duty {
			t.Fatalf("share %g of duty %g", u.share, duty)
		}
		m := u.margin(1, fuelSupply, s.fed(&sim.Gear{Gear: 1, MaxFlow: flow, MaxBoost: high + boost}, 1), supplyDoubt)
		worst, _ := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		return worst[0].chance
	}
	for _, c := range []struct {
		duty, flow, boost float64 // 1, 1 of what was run, Pa more
		low, high         float64 // of the chance
	}{
		{0.70, 1, 0, 0, 1e-6},
		{0.95, 0.9, -20e3, 0, 1e-6},
		{0.45, 1.35, 60e3, 0, 0.002},
		{0.70, 1.12, 43e3, 0.015, 0.2},
		{0.88, 1.05, 10e3, 0.05, 0.5},
	} {
		if p := chance(c.duty, c.flow, c.boost); p < c.low || p > c.high {
			t.Errorf("duty %g, %g of the flow, %+.0f kPa: chance %.4f, want %g to %g", c.duty, c.flow, c.boost/1e3, p, c.low, c.high)
		}
	}
	// Without a channel the sheet's injectors tell.
	s.gauge.duty = newMeter(len(s.ran.boost))
	s.unread = map[string]unread{}
	if s.supply(); s.m.Sheet.InjectorFlow > 0 && !(s.unread[fuelSupply].spread > pumpSpread) {
		t.Errorf("%+v", s.unread)
	}
}
