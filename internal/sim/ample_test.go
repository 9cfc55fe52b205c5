package sim

import (
	"math"
	"testing"
)

// Where the turbine's work is just what is needed the head stands still, with more it rises.
func TestAmple(t *testing.T) {
	for _, b := range []Boost{
		{Rate: 3.5, Work: 2.1, Swallow: 2.2, FlowLoss: 0.3, Friction: 0.015},
		{Rate: 8, Work: 1.4, Swallow: 3.5, FlowLoss: -0.4, Friction: 0.05, Fill: 0.1},
	} {
		for _, h := range []float64{0.1, 0.3, 0.45} {
			for _, n := range []float64{0.7, 1, 1.2} {
				const m = 1.1
				a := b.Ample(m, h, n)
				if rise := b.Rise(m, h, n, 1, 1); (a > 1) != (rise > 0) {
					t.Errorf("work over need %.3f, rise %.3f 1/s", a, rise)
				}
				c := b
				c.Work /= a
				if rise := c.Rise(m, h, n, 1, 1); math.Abs(rise) > 1e-12 {
					t.Errorf("just enough, and yet a rise of %g 1/s", rise)
				}
			}
		}
	}
}
