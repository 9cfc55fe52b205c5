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
	s.missed.rise[1], s.missed.way[1] = 0, way{}
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
		s.missed.rise[1] = lateness(&in, c.read)
		if p := s.short(s.ran, &in); p < c.low || p > c.high {
			t.Errorf("%.0f kPa read: chance %.3f, want %g to %g", c.read/1e3, p, c.low, c.high)
		}
	}
	// A peak that stayed under what was set says so of as much again. Of more it says less: by
	// the law of a first-order lag what is left goes with the way, and with the gear's duration.
	s.missed.rise[1] = 0
	for _, c := range []struct{ level, entry, more, lasts, low, high float64 }{
		{0.051, 0.8, 0, 1, 0.004, 0.007}, {0.034, 0.8, 0, 1, 0.04, 0.05}, {0, 0.8, 0, 1, 0.49, 0.51},
		{0.034, 0.8, 0, 2, 0.001, 0.03}, {0.034, 0.8, 0, 0.5, 0.5, 0.9}, {0, 0.8, 0.5, 1, 0.35, 0.48},
		{0, 0.5, 0.5, 1, 0.3, 0.45},
	} {
		s.missed.way[1] = way{set: ran, level: c.level, entry: c.entry * ran, early: c.entry * ran, lasts: 1, repeats: levelRepeats}
		x := s.ran.clone()
		x.boost[1] += c.more * ran
		full := sim.Gear{Gear: 2, T0: 2, T1: 2 + c.lasts, Goal: 0.95 * x.boost[1], Reached: true, MaxBoost: x.boost[1]}
		if p := s.short(x, &full); p < c.low || p > c.high {
			t.Errorf("%+v: chance %.3f", c, p)
		}
	}
	// A target that is lowered is missed as the one run was, whatever was there half way.
	s.missed.way[1] = way{set: ran, level: 0, entry: 0.8 * ran, early: 0.93 * ran, lasts: 1, repeats: levelRepeats}
	x.boost[1] = 0.9 * ran
	if p := s.short(x, &sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 0.85 * ran, Reached: true, MaxBoost: 0.9 * ran}); p < 0.45 || p > 0.55 {
		t.Errorf("lowered: chance %g", p)
	}
	// Boost that the spring held half way through the gear is there whatever else is set below it.
	s.missed.way[1] = way{set: ran, level: 0.6, entry: 1.5 * ran, early: 1.7 * ran, lasts: 1, repeats: levelRepeats}
	x.boost[1] = 1.5 * ran
	if p := s.short(x, &sim.Gear{Gear: 2, T0: 2, T1: 3, Goal: 2 * ran, MaxBoost: 1.4 * ran, RecoveryTime: -1}); p > 1e-6 {
		t.Errorf("under the spring: chance %g", p)
	}
	// A control's way of halving what is left in each 0.3 s, logged and gone again with more to go
	// and another duration: closed form.
	in1 := newWays(2)
	const tau = 0.3 / math.Ln2
	lag := func(from, to, lasts float64) (b []float64) {
		for t := 0.0; t < lasts; t += 0.02 {
			b = append(b, to-(to-from)*math.Exp(-t/tau))
		}
		return b
	}
	b := lag(60e3, 100e3, 0.9)
	in1.add(1, b, 0.02, b[len(b)-1], 100e3)
	s.missed.way = in1.mean()
	x = s.ran.clone()
	x.boost[1] = 110e3
	want := (110e3 - 50e3*math.Pow(0.5, 0.6/0.3)) / 110e3
	p := s.below(x, &sim.Gear{Gear: 2, T1: 0.6})
	short := 1 - want
	moved := min(1, math.Log(1.1)/levelFar)
	if z := math.Log(want/reachedShare) / math.Hypot(s.missed.way[1].repeats, levelDoubt*moved*short); math.Abs(p-(1-levelElse*moved)*tail(z)) > 0.02 {
		t.Errorf("first-order control: chance %.3f, by the closed form %.3f", p, (1-levelElse*moved)*tail(z))
	}
	if !math.IsInf(reserve(&sim.Gear{T1: 1, Reached: true}), 1) {
		t.Error("boost that is there on entering the gear has no end of time")
	}
}
