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

// TestSlipTellsTheScale: where rolling wheels alone tell speed, read high by what no log of
// wheels shows, the strip's readings tell the scale, and what is left of its spread covers it.
func TestSlipTellsTheScale(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		d := makeDrive(seed)
		var src []Source
		for _, s := range d.sensors(seed) {
			if s.Kind != Undriven {
				continue
			}
			for i := range s.V {
				s.V[i] *= 1.04
			}
			src = append(src, s)
		}
		slip := slipOf(d, 0)
		trap := func(s *Slip) (err, sd float64) {
			p := &Problem{Sources: src, To: 19.5, RestTo: 1.983, Slip: s,
				Guess: func(u float64) float64 { _, v, _ := d.at(u); return 1.02 * v }}
			r, e := Estimate(p)
			if e != nil {
				t.Fatal(e)
			}
			if len(r.Notes) > 0 {
				t.Errorf("seed %d: %q", seed, r.Notes)
			}
			in, _ := r.When(slip.TrapTo - slip.Window)
			out, _ := r.When(slip.TrapTo)
			return slip.Window/(out-in)/slip.Trap - 1, r.MeanSpeedSD(in, out) / slip.Trap
		}
		err, sd := trap(nil)
		if math.Abs(err) < 0.01 || sd < 0.01 {
			t.Errorf("seed %d: without the slip the trap is off by %.4f ± %.4f: nothing to tell", seed, err, sd)
		}
		if err, sd = trap(slip); math.Abs(err) > 0.003 || sd > 0.004 || math.Abs(err) > 3*sd {
			t.Errorf("seed %d: with the slip the trap is off by %.4f ± %.4f", seed, err, sd)
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
