package motion

import (
	"math"
	"math/rand/v2"
	"testing"
)

// slipOf is what the strip gives for a drive: truth from a start beam 0.27 m out, each time
// moved by late times the share of the way, s.
func slipOf(d *drive, late float64) *Slip {
	when := func(x float64) float64 {
		for i := range d.x {
			if d.x[i] >= x {
				return d.t[i]
			}
		}
		return math.NaN()
	}
	s := &Slip{TrapTo: 804.672, Window: 20.1168}
	start := when(0.27)
	for _, m := range []struct {
		mark string
		at   float64
	}{{"60 ft", 18.288}, {"1/4 mile", 402.336}, {"1/2 mile", 804.672}} {
		s.Beams = append(s.Beams, Beam{m.mark, m.at, math.Round(1000*(when(m.at)-start+late*m.at/804.672)) / 1000})
	}
	s.Trap = s.Window / (when(s.TrapTo) - when(s.TrapTo-s.Window))
	return s
}

// TestSlipOfAnotherPass: the drive's own slip is used; one whose times lie each within the
// spread that the unknown rollout leaves, but not together, is told and not used.
func TestSlipOfAnotherPass(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		d := makeDrive(seed)
		src := d.sensors(seed)
		late := 0.07 * (1 - 2*float64(rand.New(rand.NewPCG(seed, 3)).IntN(2)))
		estimate := func(s *Slip) *Result {
			p := &Problem{Sources: src, To: 19.5, RestTo: 1.983, Slip: s,
				Guess: func(u float64) float64 { _, v, _ := d.at(u); return 1.02 * v }}
			r, err := Estimate(p)
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		none, own, other := estimate(nil), estimate(slipOf(d, 0)), estimate(slipOf(d, late))
		if len(own.Notes) > len(none.Notes) {
			t.Errorf("seed %d: its own slip: %q", seed, own.Notes)
		}
		if len(other.Notes) == len(none.Notes) {
			t.Errorf("seed %d: a slip %+.0f ms off at the half mile is not told", seed, 1000*late)
		}
		a, _ := none.When(804.672)
		b, _ := other.When(804.672)
		if math.Abs(a-b) > 0.02 {
			t.Errorf("seed %d: the other slip moves the half mile by %+.1f ms", seed, 1000*(b-a))
		}
	}
}

// TestChiSquared holds the approximation against quantiles of chi-squared at normal scores
// of 1.6449 and 3.0902. Source: Abramowitz and Stegun, table 26.8 (from memory).
func TestChiSquared(t *testing.T) {
	for _, c := range []struct {
		n    int
		z    float64
		want float64
	}{{2, 1.6449, 5.991}, {4, 1.6449, 9.488}, {4, 3.0902, 18.467}, {10, 3.0902, 29.588}} {
		if got := chiSquared(c.n, c.z); math.Abs(got-c.want) > 0.02*c.want {
			t.Errorf("chi-squared of %d at %v: %v, want %v", c.n, c.z, got, c.want)
		}
	}
}
