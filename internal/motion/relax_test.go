package motion

import (
	"math"
	"testing"
)

// TestSlipGoesAhead: a tyre's force follows its slip over a way σ, σ·ds/dt + v·s = slip speed
// (Pacejka, Tyre and Vehicle Dynamics, first-order relaxation, from memory), so that gear
// changes show in driven wheels before the car feels them. That must not pass for a delay of the
// accelerometer, whatever σ a car tyre has. Knots hold a jump's place to some milliseconds, so the
// mean counts over passes whose changes fall differently between samples.
func TestSlipGoesAhead(t *testing.T) {
	const perAccel, wheelLag, accelLag = 0.008, 0.012, 0.008 // s²/m, s, s
	const phases = 5
	for _, way := range []float64{0.2, 0.45} {
		mean := 0.0
		for seed := range uint64(phases) {
			d := makeDrive(seed)
			k := int(seed) * 20 / phases // of 0.5 ms
			d.t, d.x, d.v, d.a = d.t[:len(d.t)-k], d.x[k:], d.v[k:], d.a[k:]
			src := d.sensors(seed)
			for i := range src {
				s := &src[i]
				if s.Kind != Undriven {
					continue
				}
				s.Kind = DrivenWheel
				for k, at := range s.T {
					_, v, a := d.at(at - wheelLag)
					_, _, a0 := d.at(at - wheelLag - 0.005)
					_, _, a1 := d.at(at - wheelLag + 0.005)
					s.V[k] = v + perAccel*(v*a+way*(a1-a0)/0.01)
				}
			}
			got, sd, ok := solve(t, d, src, 0).Param("accelerometer lag")
			if !ok {
				t.Fatal("no delay of the accelerometer")
			}
			t.Logf("σ %.2f m, phase %d: %.4f ± %.4f s", way, seed, got, sd)
			mean += got / phases
		}
		t.Logf("σ %.2f m: mean %.4f s", way, mean)
		if math.Abs(mean-accelLag) > 2*0.0015 { // two standard deviations of what is known of it beforehand
			t.Errorf("σ %.2f m: accelerometer's delay %.4f s in the mean, made with %.3f", way, mean, accelLag)
		}
	}
}
