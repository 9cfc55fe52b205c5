package fitcar

import (
	"math"
	"testing"
)

// A spring under low targets shows by one boost in gears of unlike targets; a control that
// settles beside its target alike in every gear is none.
func TestBestFloor(t *testing.T) {
	for _, c := range []struct {
		name        string
		all         [][2]float64 // Pa, target and boost of a gear each
		floor, gain float64      // Pa, within 2 kPa; gain at least (at most when negative)
	}{
		{"one boost under three targets", [][2]float64{{43e3, 56e3}, {43e3, 55e3}, {51e3, 56e3}, {65e3, 62e3}}, 56e3, 8},
		{"over every target alike", [][2]float64{{80e3, 86e3}, {100e3, 106e3}, {150e3, 157e3}}, 0, -2},
		{"on every target", [][2]float64{{80e3, 80e3}, {100e3, 101e3}, {150e3, 149e3}}, 0, -2},
		{"under every target", [][2]float64{{80e3, 72e3}, {100e3, 93e3}}, 0, -2},
		{"a first gear whose control did not come back", [][2]float64{{163e3, 229e3}, {212e3, 211e3}, {212e3, 210e3}}, 0, -2},
	} {
		var all []steady
		for g, x := range c.all {
			all = stood(all, g+1, x[0], x[1])
		}
		floor, gain := bestFloor(all)
		if c.gain < 0 {
			if gain > -c.gain {
				t.Errorf("%s: a floor of %.0f kPa, better by %.1f", c.name, floor/1e3, gain)
			}
			continue
		}
		if math.Abs(floor-c.floor) > 2e3 || gain < c.gain {
			t.Errorf("%s: a floor of %.0f kPa, better by %.1f; want %.0f kPa by %.0f", c.name, floor/1e3, gain, c.floor/1e3, c.gain)
		}
	}
}

// A gear that shows the same in many passes is one witness of a spring, not many.
func TestOneGearOneWitness(t *testing.T) {
	of := func(passes int) (all []steady) {
		for k := range passes {
			jitter := float64(k%2) * 1e3
			all = stood(all, 1, 60e3+jitter/2, 80e3+jitter)
			all = stood(all, 2, 120e3, 121e3)
		}
		return all
	}
	_, one := bestFloor(of(1))
	_, many := bestFloor(of(6))
	if math.Abs(one-many) > 1 {
		t.Errorf("better by %.1f after one pass, by %.1f after six alike", one, many)
	}
	if all := stood(of(2), 1, 70e3, 82e3); len(all) != 3 {
		t.Errorf("under another target a gear tells something new: %v", all)
	}
}

// What was held is what stood near its target; boost far over a low target, or still on its
// way, was not.
func TestLowestHeld(t *testing.T) {
	o := &Observation{Target: []float64{40e3, 90e3, 150e3}}
	for g, boost := range []float64{60e3, 92e3, 120e3} {
		for range 60 {
			o.Gear, o.Full, o.Boost = append(o.Gear, g+1), append(o.Full, true), append(o.Boost, boost)
		}
	}
	if low := o.lowestHeld(); low != 92e3 {
		t.Errorf("%.0f kPa, want 92", low/1e3)
	}
	o.Boost = nil
	if low := o.lowestHeld(); low != 40e3 {
		t.Errorf("without a pressure the lowest target stands for it: %.0f kPa", low/1e3)
	}
	m := &Model{}
	if low := m.LowestHeld(); !math.IsInf(low, 1) {
		t.Errorf("nothing is known: %g", low)
	}
}

// Boost that the spring holds over its target says nothing of where the control settles.
func TestSettledOffsetKnowsTheSpring(t *testing.T) {
	o := &Observation{Target: []float64{60e3, 120e3}, Step: 0.02}
	for g, boost := range []float64{65e3, 122e3} {
		for range 150 {
			o.X, o.Gear, o.Full = append(o.X, 0), append(o.Gear, g+1), append(o.Full, true)
			o.Boost = append(o.Boost, boost)
		}
	}
	ws := []*work{{Observation: o}}
	for _, c := range []struct{ floor, first, second float64 }{{0, 4.6e3, 2.4e3}, {65e3, 2e3, 2e3}} {
		off := settledOffset(ws, 2, c.floor)
		if math.Abs(off[0]-c.first) > 0.5e3 || math.Abs(off[1]-c.second) > 0.5e3 {
			t.Errorf("spring %.0f kPa: offsets %.1f kPa, want %.1f and %.1f", c.floor/1e3, off, c.first/1e3, c.second/1e3)
		}
	}
}

// What a launch leaves over its target in first gear is no spring where later gears stand lower;
// where they stand no lower, it is.
func TestSurplusIsNoSpring(t *testing.T) {
	for _, c := range []struct{ later, want float64 }{{192e3, 0}, {255e3, 251e3}} {
		o := &Observation{Step: 0.02}
		for g := range 4 {
			o.Target = append(o.Target, 192e3)
			for i := range 120 {
				b := c.later
				if g == 0 {
					b = 265e3 - 0.2e3*float64(i)
				}
				o.X, o.Gear, o.Full = append(o.X, 0), append(o.Gear, g+1), append(o.Full, true)
				o.Boost = append(o.Boost, b)
			}
		}
		got := springFloor([]*work{{Observation: o}}, 4, &draws{})
		if math.Abs(got-c.want) > 6e3 {
			t.Errorf("later gears at %.0f kPa: a spring of %.0f kPa, want %.0f", c.later/1e3, got/1e3, c.want/1e3)
		}
	}
}

// A gear that stands lower denies a spring only where its control has it at its target.
func TestDenied(t *testing.T) {
	for _, c := range []struct {
		name string
		low  steady
		want bool
	}{
		{"held by the spring with less gas", steady{2, 47e3, 57e3, 1}, false},
		{"at its target", steady{2, 57e3, 57e3, 1}, true},
		{"a control that settles over its target", steady{2, 52e3, 57e3, 1}, true},
	} {
		if got := denied([]steady{{3, 47e3, 67e3, 1}, {4, 49e3, 68e3, 1}, c.low}, 67e3); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
