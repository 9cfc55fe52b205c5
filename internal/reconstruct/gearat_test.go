package reconstruct

import (
	"testing"

	"traplight/internal/gears"
)

// After a shift the torque is back before the ratio shows the new gear: the old gear must
// not reach into it, nor the new one into the end of the old.
func TestGearAt(t *testing.T) {
	d := &driveline{
		spans: []gears.Span{{Gear: 1, From: 1, To: 3}, {Gear: 2, From: 3.25, To: 5}, {Gear: 3, From: 5.2, To: 9}},
		shifts: []shift{
			{from: 1, to: 2, left: 3, right: 3.25, seen: true},
			{from: 2, to: 3, left: 5, right: 5.2}, // torque not seen: the edges of the ratio
		},
	}
	d.shifts[0].edge.Off, d.shifts[0].edge.On = 2.98, 3.1
	for _, c := range []struct {
		t    float64
		gear int
	}{{0.8, 1}, {2, 1}, {2.97, 1}, {3.05, 0}, {3.1, 2}, {3.2, 2}, {3.29, 2}, {4, 2}, {4.99, 2}, {5.1, 0}, {5.21, 3}, {5.29, 3}, {9.2, 3}, {9.4, 0}, {0.6, 0}} {
		if g := d.gearAt(c.t); g != c.gear {
			t.Errorf("at %.2f s gear %d, want %d", c.t, g, c.gear)
		}
	}
}
