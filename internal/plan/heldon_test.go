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
	comes := func(times ...float64) float64 {
		q := spinSeen{again: repeats(times, spinFirst)}
		return q.extra(0)
	}
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
		if c := comes(x.times...); !(c >= x.lo-1e-9 && c <= x.hi+1e-9) {
			t.Errorf("%s: %.3f, wanted %.2f to %.2f", x.describe, c, x.lo, x.hi)
		}
	}
	if a, b := comes(0.2, 0.2), comes(0.2, 0.2, 0.2, 0.2); b <= a {
		t.Errorf("%.3f after four passes, %.3f after two", b, a)
	}
}

// Less torque than was run shortens the bite's wheelspin, and the more the nearer the tyres were
// to their grip; more torque does not lengthen it here (see bolder).
func TestBiteWithLessTorque(t *testing.T) {
	at := func(use, torque float64) float64 {
		q := spinSeen{again: repeats([]float64{0.3, 0.25}, 0.25), torque: 500, use: use}
		return q.extra(torque)
	}
	if at(0.9, 500) != at(0.9, 600) || at(0.9, 500) < 0.97 {
		t.Errorf("as run %.3f, with more torque %.3f", at(0.9, 500), at(0.9, 600))
	}
	last := at(0.9, 500)
	for _, torque := range []float64{460, 420, 380} {
		c := at(0.9, torque)
		if c >= last || at(0.6, torque) <= c {
			t.Errorf("%.0f N·m: %.3f near the grip's end, %.3f far from it, %.3f with more torque", torque, c, at(0.6, torque), last)
		}
		last = c
	}
	if last > 0.5 {
		t.Errorf("a quarter less torque near the grip's end leaves %.2f", last)
	}
}
