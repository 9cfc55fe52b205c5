package plan

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// Boost with time to spare comes to its target, boost that the gear ends before does not, and
// the nearer the end the less sure either is, beyond what was run most of all.
func TestShort(t *testing.T) {
	s := searching(t)
	s.missed.rise[1], s.missed.level[1] = 0, math.Inf(1)
	ran := s.ran.boost[1]
	chance := func(more, needs, reached float64) float64 {
		x := s.ran.clone()
		x.boost[1] = ran + more
		g := sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 0.95 * x.boost[1], Reached: needs <= 1, RecoveryTime: needs}
		g.MaxBoost = reached * g.Goal
		return s.short(x, &g)
	}
	for _, c := range []struct {
		more, needs, reached float64 // Pa, s of the gear's one, 1 of the goal
		low, high            float64
	}{
		{0, 0, 1, 0, 0},
		{0, 0.5, 1, 0, 1e-9},
		{0, 0.97, 1, 0.2, 0.4},
		{0, 2, 0.97, 0.6, 0.8},
		{0, 2, 0.8, 0.999, 1},
		{60e3, 0.85, 1, 0.02, 0.3},
		{60e3, 2, 0.95, 0.55, 0.8},
	} {
		if p := chance(c.more, c.needs, c.reached); p < c.low || p > c.high {
			t.Errorf("%+.0f kPa, %g of the time, %g of the goal: chance %.4f, want %g to %g", c.more/1e3, c.needs, c.reached, p, c.low, c.high)
		}
	}
	// A gate whose spring holds more than what is set is never short of that.
	x := s.ran.clone()
	x.boost[1] = 20e3
	if p := s.short(x, &sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 70e3, MaxBoost: 60e3, RecoveryTime: -1}); p > 1e-9 {
		t.Errorf("over the spring: chance %g", p)
	}
	// What the log shows settles it for settings as run.
	in := sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 100e3, MaxBoost: 90e3, RecoveryTime: -1}
	for _, c := range []struct{ read, low, high float64 }{{102e3, 0.01, 0.05}, {97e3, 0.1, 0.2}, {87e3, 0.97, 1}, {0, 0.97, 1}} {
		s.missed.rise[1] = late(&in, c.read)
		if p := s.short(s.ran, &in); p < c.low || p > c.high {
			t.Errorf("%.0f kPa read: chance %.3f, want %g to %g", c.read/1e3, p, c.low, c.high)
		}
	}
	// A peak that stayed under what was set says so of as much again, and no less of more.
	s.missed.rise[1] = 0
	full := sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 0.95 * ran, Reached: true, MaxBoost: ran}
	last := 0.0
	for _, c := range []struct{ level, more, low, high float64 }{{0.051, 0, 0.004, 0.007}, {0.034, 0, 0.04, 0.05}, {0.034, 0.02 * ran, 0.05, 0.12}, {0, 0, 0.5, 0.5}, {0, 0.5 * ran, 0.9, 0.95}} {
		s.missed.level[1] = c.level
		x := s.ran.clone()
		x.boost[1] += c.more
		p := s.short(x, &full)
		if p < c.low || p > c.high || p < last {
			t.Errorf("peak over 95 %% of what was set by %.3f, %+.0f kPa: chance %.3f", c.level, c.more/1e3, p)
		}
		last = p
	}
	if !math.IsInf(reserve(&sim.Gear{T1: 1, Reached: true}), 1) {
		t.Error("boost that is there on entering the gear has no end of time")
	}
}
