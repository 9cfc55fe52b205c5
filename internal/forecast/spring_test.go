package forecast

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// A target under all that was held meets springs of practice, none stronger than what was
// held; one over it meets none.
func TestSpring(t *testing.T) {
	floor := func(held, target, z float64) float64 {
		c := sim.Car{}
		n := Next{Held: held, Target: []float64{target, 100e3}}
		n.spring(&c, &luck{spring: z})
		return c.Boost.Floor
	}
	if f := floor(60e3, 80e3, 0); f != 0 {
		t.Errorf("a target that was held: floor %.0f kPa", f/1e3)
	}
	if f := floor(math.Inf(1), 30e3, 0); f != 0 {
		t.Errorf("nothing known of the control: floor %.0f kPa", f/1e3)
	}
	last := -1.0
	for z := -3.0; z <= 3; z += 0.5 {
		f := floor(60e3, 30e3, z)
		if f < last || f < 0 || f > 60e3 {
			t.Errorf("z %.1f: floor %.1f kPa after %.1f", z, f/1e3, last/1e3)
		}
		last = f
	}
	// far over every spring the middle draw is the middle of practice
	if f := floor(250e3, 200e3, 0); math.Abs(f-50e3) > 100 {
		t.Errorf("floor %.1f kPa, want 50", f/1e3)
	}
	c := sim.Car{Boost: sim.Boost{Floor: 55e3}}
	n := Next{Held: 60e3, Target: []float64{30e3}}
	n.spring(&c, &luck{})
	if c.Boost.Floor != 55e3 {
		t.Errorf("a spring that the passes show became %.0f kPa", c.Boost.Floor/1e3)
	}
}
