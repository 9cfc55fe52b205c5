package quantity

import (
	"math"
	"testing"
)

// FuzzParseUnit: what is taken for a unit can be reckoned with, there and back.
func FuzzParseUnit(f *testing.F) {
	for _, s := range []string{"", "rpm", "bar(a)", "deg C", "1/min", "psi gauge", "0,1 km/h", "10^-3*bar", "[kPa abs]", "°F", "1e-3 V", "%", "(g)", "ü"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		u, ok := ParseUnit(text)
		if !ok {
			return
		}
		if u.Factor == 0 || math.IsNaN(u.Factor) || math.IsInf(u.Factor, 0) || math.IsNaN(u.Offset) || math.IsInf(u.Offset, 0) {
			t.Fatalf("%q: %+v", text, u)
		}
		for _, x := range []float64{-40, 0, 17.5, 8000} {
			if back := u.Of(u.SI(x)); math.Abs(back-x) > 1e-9*math.Max(1, math.Abs(x))*math.Max(1, math.Abs(u.Offset/u.Factor)) {
				t.Fatalf("%q: %g came back as %g", text, x, back)
			}
		}
	})
}
