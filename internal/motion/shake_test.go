package motion

import (
	"math"
	"math/rand/v2"
	"testing"
)

// withShake replaces the accelerometer of a made drive: vibration of sd0 + sd1·v, m/s², each sample
// following the one before by rho, read every step s.
func withShake(d *drive, src []Source, seed uint64, sd0, sd1, rho, step float64) []Source {
	r := rand.New(rand.NewPCG(seed, 21))
	acc := Source{Name: "accelerometer", Kind: Accelerometer, Resolution: 0.01}
	z := 0.0
	for t := 0.01; t < 20; t += step {
		_, v, a := d.at(t - 0.008)
		z = rho*z + math.Sqrt(1-rho*rho)*r.NormFloat64()
		acc.T, acc.V = append(acc.T, t), append(acc.V, a+0.1+math.Hypot(sd0, sd1*v)*z)
	}
	return append(append([]Source{}, src[:3]...), acc)
}

// TestVibrationLevel: constant part, growth with speed and the ratio of the long run's variance
// to a sample's are found. That ratio is (1 + ρ)/(1 − ρ) for noise of the first order (Bartlett
// 1946; Box, Jenkins, Reinsel: Time Series Analysis, from memory), of which three lags give
// 1 + 2(ρ + ρ² + ρ³).
func TestVibrationLevel(t *testing.T) {
	for _, c := range []struct{ sd0, sd1, rho float64 }{{0.15, 0.003, 0}, {0.1, 0.004, 0.3}, {0.25, 0, 0.3}} {
		var sigma, rel, colour float64
		const n = 6
		for seed := uint64(0); seed < n; seed++ {
			d := makeDrive(seed)
			r := solve(t, d, withShake(d, d.sensors(seed), seed, c.sd0, c.sd1, c.rho, 0.01), 0)
			ch := r.chans[len(r.chans)-1]
			sigma, rel, colour = sigma+ch.sigma/n, rel+ch.rel/n, colour+ch.colour/n
		}
		const fast = 45.0 // m/s
		got, want := math.Hypot(sigma, rel*fast), math.Hypot(c.sd0, c.sd1*fast)
		if math.Abs(got/want-1) > 0.2 {
			t.Errorf("%+v: noise %.3f m/s² at %v m/s", c, got, fast)
		}
		if c.sd1 > 0 && math.Abs(rel/c.sd1-1) > 0.35 {
			t.Errorf("%+v: %.5f more for each m/s", c, rel)
		}
		// The pull, which may wander, takes up most of what lasts: residuals show a fifth of
		// the excess or more, and no more than there is.
		long := 1 + 2*(c.rho+c.rho*c.rho+c.rho*c.rho*c.rho)
		if colour > 1.1*long || colour < 0.999+0.2*(long-1) {
			t.Errorf("%+v: long-run variance %.2f times, made %.2f", c, colour, long)
		}
	}
}

// TestSparseAccelerometer: at half the knots' rate the level does not collapse, and speed stays
// within its interval.
func TestSparseAccelerometer(t *testing.T) {
	in, total := 0, 0
	for seed := uint64(0); seed < 12; seed++ {
		d := makeDrive(seed)
		r := solve(t, d, withShake(d, d.sensors(seed), seed, 0.12, 0.003, 0, 0.02), 0)
		if s := r.chans[len(r.chans)-1].sigma; s < 0.05 {
			t.Errorf("seed %d: accelerometer taken as good to %.4f m/s²", seed, s)
		}
		for _, u := range []float64{6, 10, 14, 18} {
			_, v, _ := d.at(u)
			_, got, _ := r.At(u)
			_, sd, _ := r.SD(u)
			if total++; math.Abs(got-v) <= 1.645*sd {
				in++
			}
		}
	}
	if share := float64(in) / float64(total); share < 0.78 {
		t.Errorf("%d of %d speeds in the 90 %% interval", in, total)
	}
}

// TestWildReflection: a receiver that reads 6 m/s too little for 1.6 s, jumping about, does not draw the
// speed to itself, even past an accelerometer that shakes and is sparse.
func TestWildReflection(t *testing.T) {
	for seed := uint64(0); seed < 6; seed++ {
		d := makeDrive(seed)
		src := withShake(d, d.sensors(seed), seed, 0.12, 0.003, 0, 0.02)
		rnd := rand.New(rand.NewPCG(seed, 5))
		g := src[2]
		g.V = append([]float64{}, g.V...)
		for i, u := range g.T {
			if u > 9 && u < 10.6 {
				g.V[i] += -6 + 2*rnd.NormFloat64()
			}
		}
		r := solve(t, d, []Source{g, src[3]}, 0)
		_, v, _ := d.at(9.7)
		_, got, _ := r.At(9.7)
		if math.Abs(got-v) > 0.4 {
			t.Errorf("seed %d: %+.2f m/s within the reflection", seed, got-v)
		}
	}
}
