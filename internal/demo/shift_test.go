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

// The gearbox's torque with the clutch closed is the engine's less what spins it up, not what the
// clutch passed while it slipped: this car's clutch holds 1.3 times what the engine makes.
func TestClosedClutchTorque(t *testing.T) {
	p := RandomCar(13501).plan(calm(), 1)
	p.fast, p.preface, p.stopAt = true, false, p.strip.Length+0.5
	s := p.simulate()
	if len(s.out.maxIn) < 4 {
		t.Fatalf("%d gears", len(s.out.maxIn))
	}
	for g, in := range s.out.maxIn[:4] {
		if in > 0.85*p.clutchTorque {
			t.Errorf("gear %d: %.0f N·m, the clutch holds %.0f", g+1, in, p.clutchTorque)
		}
	}
}
