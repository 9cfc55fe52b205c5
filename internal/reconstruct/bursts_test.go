package reconstruct

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBurstsAreLeftOut: a stretch in which a receiver scatters goes as a whole, also those of its
// readings that lie where the car is; a receiver that is noisy throughout, shifts and a lone outlier stay.
func TestBurstsAreLeftOut(t *testing.T) {
	run := func(t float64) float64 { return 60 * (1 - math.Exp(-t/6)) }
	rng := rand.New(rand.NewPCG(1, 1))
	bad := made(func(t float64) float64 {
		if t > 8 && t < 9.6 && rng.Float64() < 0.8 {
			return 0.87*run(t) + 2.5*rng.NormFloat64()
		}
		return run(t) + 0.05*rng.NormFloat64()
	})
	got := withoutBursts(bad)
	for i, at := range got.Trace.T {
		if math.Abs(got.Trace.V[i]-run(at)) > 0.5 || at > 8.15 && at < 9.45 {
			t.Errorf("%.2f m/s left at %.2f s, the car at %.2f", got.Trace.V[i], at, run(at))
		}
	}
	if n := bad.Trace.Len() - got.Trace.Len(); n > 40 {
		t.Errorf("%d readings left out of some 32", n)
	}
	for name, f := range map[string]func(float64) float64{
		"noise throughout": func(t float64) float64 { return run(t) + 1.5*rng.NormFloat64() },
		"shifts": func(t float64) float64 {
			return 5*t - 2*math.Floor(t/3) + 14*math.Min(0.15, math.Mod(t, 3)) // each takes 9 m/s² away for 0.15 s
		},
		"an outlier": func(t float64) float64 {
			if t > 8 && t < 8.04 {
				return run(t) + 5
			}
			return run(t) + 0.05*rng.NormFloat64()
		},
	} {
		if c := made(f); withoutBursts(c) != c {
			t.Errorf("%s taken for a burst", name)
		}
	}
}

// TestBridgeable: a hole is one movement where a car that stops and is staged would take longer.
func TestBridgeable(t *testing.T) {
	for _, c := range []struct{ before, behind, from, to float64 }{
		{0, 30, 4, 4},      // a stand and a start
		{2, 30, 4, 4},      // a creep and a start
		{6, 32, 6, 6},      // one pull
		{32, 6, 4, 4},      // a stop and a creep
		{60, 70, 10.8, 11}, // too fast on both sides to have stood
	} {
		if got := bridgeable(c.before, c.behind); got < c.from || got > c.to {
			t.Errorf("from %v to %v m/s: %.2f s", c.before, c.behind, got)
		}
	}
}
