package plan

import (
	"math"
	"testing"
)

// Passes run move the model's chance of wheelspin towards what they showed, the more the more
// of them there are; with none it stays as it is, and more from the model is never less.
func TestGripSeen(t *testing.T) {
	for _, p := range []float64{0.01, 0.1, 0.5, 0.9, 0.99} {
		if c := newGripSeen(p, 0, 0).chance(p); math.Abs(c-p) > 0.003 {
			t.Errorf("no pass makes %.3f of %.2f", c, p)
		}
		before := p
		for n := 1; n <= 4; n++ {
			none, all := newGripSeen(p, 0, n).chance(p), newGripSeen(p, n, n).chance(p)
			if !(none < before && none > 0 && all > p && all < 1) {
				t.Errorf("%.2f: %.3f after %d passes without, %.3f with", p, none, n, all)
			}
			before = none
		}
		w, last := newGripSeen(0.3, 1, 3), 0.0
		for q := 0.02; q < 0.99; q += 0.02 {
			c := w.chance(q)
			if c < last {
				t.Errorf("the model's %.2f gives %.3f, less than before", q, c)
			}
			last = c
		}
	}
	// Half of the doubt shared, an even chance: two passes without leave a chance of one in
	// four, as the fractions of a quadrant's normal density with correlation one half
	// (1/4 + asin(½)/(2π) = 1/3 for two, 1/8 + 3·asin(½)/(4π) = 1/4 for three of one sign).
	if c := newGripSeen(0.5, 0, 2).chance(0.5); math.Abs(c-0.25) > 0.002 {
		t.Errorf("%.4f, a quarter is exact", c)
	}
}

// Wheelspin that lasted long comes again, one that was just long enough does so about every
// other time; where none was seen the count says it.
func TestAgain(t *testing.T) {
	for _, x := range []struct {
		times    []float64
		lo, hi   float64
		describe string
	}{
		{nil, 0.25, 0.25, "no pass"},
		{[]float64{0, 0}, 0.02, 0.05, "none"},
		{[]float64{0.8, 0.9}, 0.99, 1, "long"},
		{[]float64{0.05, 0.05}, 0.5, 0.5, "just"},
		{[]float64{0.14, 0}, 0.4, 0.7, "one of two"},
		{[]float64{0.02, 0.02}, 0.01, 0.1, "a trace"},
	} {
		if c := again(x.times, spinFirst); !(c >= x.lo-1e-9 && c <= x.hi+1e-9) {
			t.Errorf("%s: %.3f, wanted %.2f to %.2f", x.describe, c, x.lo, x.hi)
		}
	}
	if a, b := again([]float64{0.2, 0.2}, spinFirst), again([]float64{0.2, 0.2, 0.2, 0.2}, spinFirst); b <= a {
		t.Errorf("%.3f after four passes, %.3f after two", b, a)
	}
}
