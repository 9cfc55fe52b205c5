package demo

import (
	"math"
	"testing"
)

// A car by the other forms is the same car on paper, comes to the line, keeps the book of its
// energy and runs elsewhere than the usual one.
func TestOtherCar(t *testing.T) {
	day := PassOptions{Weather: &Weather{AirTemp: 293, Pressure: 100e3, Humidity: 0.5}}
	for _, seed := range []uint64{7001, 7002} {
		a, b := RandomCar(seed), OtherCar(seed)
		if a.p.mass != b.p.mass || a.p.vd != b.p.vd || a.p.mu0 != b.p.mu0 || a.ID == b.ID {
			t.Errorf("seed %d: another car was drawn", seed)
		}
		x, y := Run(a, day, 3), Run(b, day, 3)
		if !x.Complete || !y.Complete || math.Abs(y.Trap/x.Trap-1) < 0.005 {
			t.Errorf("seed %d: trap %.2f and %.2f m/s", seed, x.Trap, y.Trap)
		}
		if r := y.Energy.Residual(); math.Abs(r) > 0.002*y.Energy.CrankWork {
			t.Errorf("seed %d: %.0f J of %.0f are in no line of the book", seed, r, y.Energy.CrankWork)
		}
	}
}

// The usual forms and the others agree where they say the same of a car: no slip, no loss at the
// best ignition, a tyre that slides in full.
func TestForms(t *testing.T) {
	for name, f := range map[string]*forms{"usual": &usual, "other": &other} {
		p := tyre{fall: 0.8, vFall: 11}
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"grip without slip", f.hold(0), 0},
			{"grip sliding", f.hold(2), 1},
			{"friction at rest", f.slide(&p, 0), 1},
			{"drag at 56 m/s", f.shape(56), 1},
			{"torque at the best ignition", f.late(0), 1},
			{"cold charge", f.warm(300), 0},
		} {
			if math.Abs(c.got-c.want) > 2e-3 {
				t.Errorf("%s: %s is %.4f, want %g", name, c.what, c.got, c.want)
			}
		}
	}
}
