package plan

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// What the passes showed moves each member by as much as it differs from them, and what is not
// known of where the peak lies stays in the chance: half of the members past their peak, half
// short of it, are an even chance, however sure each is.
func TestPulling(t *testing.T) {
	s := &search{grip: []*gripSeen{{more: []float64{0.2, -0.2, 0, 0}, doubt: 0.05}, nil}}
	for _, c := range []struct {
		lasting, want float64
	}{{0, 0.5}, {-0.1, (0.97725 + 2*0.02275) / 4}, {-1, 0}, {1, 1}} { // (Φ(2) + Φ(−6) + 2·Φ(−2))/4 by tables of the normal law
		sum := 0.0
		for j := range 4 {
			sum += s.pulling(0, j, c.lasting) / 4
		}
		if math.Abs(sum-c.want) > 1e-4 {
			t.Errorf("%+.1f: chance %.4f, want %.4f", c.lasting, sum, c.want)
		}
	}
	// Without a log of the car the model's own doubt decides.
	if p := s.pulling(1, 0, -slipModel); math.Abs(p-0.15866) > 1e-4 {
		t.Errorf("one deviation short of the peak, never seen: %.4f", p)
	}
}

// A gear's slip by member: means over its draws, and the spread about them.
func TestLastingBy(t *testing.T) {
	out := make([]drawn, 8)
	for i := range out {
		l := []float64{-0.3, 0.1}[i%2] + []float64{-0.02, 0.02}[i/2%2]
		out[i].gears = []sim.Gear{{Gear: 2, Lasting: l}}
	}
	mean, luck := lastingBy(out, 1, 2)
	if math.Abs(mean[0]+0.3) > 1e-12 || math.Abs(mean[1]-0.1) > 1e-12 {
		t.Errorf("means %.3f", mean)
	}
	if want := 0.02 * math.Sqrt(8.0/6); math.Abs(luck-want) > 1e-12 {
		t.Errorf("spread %.4f, want %.4f", luck, want)
	}
	if _, luck := lastingBy(out, 0, 2); !math.IsNaN(luck) {
		t.Errorf("a gear that no pass reached has a spread of %g", luck)
	}
}

// Wheelspin that lasted long comes again, one that was just long enough does so about every
// other time; where none was seen the count says it.
func TestAgain(t *testing.T) {
	comes := func(times ...float64) float64 {
		q := spinSeen{again: []again{repeats(times, spinFirst)}}
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
		q := spinSeen{again: []again{repeats([]float64{0.3, 0.25}, 0.25)}, torque: 500, use: use}
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
