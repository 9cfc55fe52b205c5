package demo

import "testing"

// A shift ends when it asks for no cut any more, though slip control cuts on: this car spins
// all through its second gear when boost is there at once, and once stayed in it to the line.
func TestShiftEndsUnderSlipControl(t *testing.T) {
	p := RandomCar(25001).plan(calm(), 1)
	p.fast, p.preface, p.stopAt = true, false, p.strip.Length+0.5
	p.ideal.boost, p.ideal.back, p.ideal.heat = true, 0.9, 1/0.74
	s := p.simulate()
	if n := len(s.out.shifts); n < 3 || s.v < 70 {
		t.Errorf("%d shifts, %.0f m/s at the line", n, s.v)
	}
}
