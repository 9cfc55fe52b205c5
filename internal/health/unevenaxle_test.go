package health

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// A tyre that lost its pressure is smaller and turns faster than its mate: by 3 % of the radius
// it is told on a first pass, and which one; by less than a logger's circumference may be off,
// where the wheels spin, and on a car with a history it is not.
func TestUnevenAxle(t *testing.T) {
	for _, c := range []struct {
		name        string
		left        float64 // 1, by which the left tyre is smaller
		slip        float64
		known, want bool
		from        float64 // s from which it is smaller
		severity    Severity
	}{
		{"even", 0.003, 0.02, false, false, 0, ""},
		{"wrong circumference", 0.012, 0.02, false, false, 0, ""},
		{"low left", 0.03, 0.02, false, true, 9, Moderate},
		{"low right", -0.02, 0.02, false, true, 7, Subtle},
		{"spinning", 0.03, 0.2, false, false, 0, ""},
		{"with a history", 0.03, 0.02, true, false, 0, ""},
		{"another wheel altogether", 0.12, 0.02, false, false, 0, ""},
	} {
		wheel := func(smaller float64) func(t, speed, boost float64) float64 {
			return func(t, _, _ float64) float64 {
				if t < c.from {
					return max(0, 5*t)
				}
				return max(0, 5*t) / (1 - smaller)
			}
		}
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{
			quantity.WheelSpeedFL: {wheel(c.left)}, quantity.WheelSpeedFR: {wheel(0)},
		})
		j.alone, j.slip = !c.known, filled(j.n, c.slip)
		got := j.unevenAxles()
		if len(got) > 0 != c.want {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		if !c.want {
			continue
		}
		faster := string(quantity.WheelSpeedFL)
		if c.left < 0 {
			faster = string(quantity.WheelSpeedFR)
		}
		if b := got[0]; b.kind != Tyre || b.severity != c.severity || b.channels[0] != faster || math.Abs(b.from-c.from) > 0.3 {
			t.Errorf("%s: %+v", c.name, b)
		}
	}
}
