package align

import (
	"math"
	"testing"
)

// TestBound holds the errors against the least that any method can have: the Cramér–Rao bound
// of a delay, noise variance over the sum of the slopes squared (Kay, Fundamentals of
// Statistical Signal Processing: Estimation Theory, 1993, section 3.11, from memory), here
// with the scale unknown too, so that only what of the slopes is not in line with the speeds
// counts. Both recorders' noise adds up. No method is better; ours must not be twice as bad,
// and must not claim to be better.
func TestBound(t *testing.T) {
	const noise, dt, a0, trials = 0.1, 0.05, 8.0, 40
	var vv, vs, ss float64
	for u := 0.0; u < 44; u += dt {
		v := profile(u, a0)
		s := (profile(u+dt, a0) - profile(u-dt, a0)) / (2 * dt)
		if v > 1 {
			vv, vs, ss = vv+v*v, vs+v*s, ss+s*s
		}
	}
	bound := math.Sqrt(2 * noise * noise / (ss - vs*vs/vv))
	sum, least := 0.0, math.Inf(1)
	for s := range uint64(trials) {
		shift := 200 + 0.05*float64(s) + 0.013
		o, err := Find(record(0, 44, dt, 0, noise, s, a0), record(0, 44, dt, shift, noise, s+500, a0))
		if err != nil {
			t.Fatal(err)
		}
		sum += sq(o.Seconds.Value-shift) / trials
		least = math.Min(least, o.Seconds.SD)
	}
	rms := math.Sqrt(sum)
	t.Logf("error %.2f ms, bound %.2f ms, least stated %.2f ms", 1e3*rms, 1e3*bound, 1e3*least)
	if rms < 0.7*bound { // 40 trials: ±11 %
		t.Errorf("error %.2f ms, less than the bound of %.2f ms", 1e3*rms, 1e3*bound)
	}
	if rms > 2*bound {
		t.Errorf("error %.2f ms, over twice the bound of %.2f ms", 1e3*rms, 1e3*bound)
	}
	if least < bound {
		t.Errorf("stated %.2f ms, less than the bound of %.2f ms", 1e3*least, 1e3*bound)
	}
}
