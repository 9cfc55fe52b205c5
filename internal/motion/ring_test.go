package motion

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestRingOfTeeth: a wheel that is late by a time and by a way, as a ring of teeth read
// over whole teeth is, gives both back (made passes).
func TestRingOfTeeth(t *testing.T) {
	const lag, way = 0.006, 0.05 // s, m
	for seed := uint64(1); seed <= 2; seed++ {
		d := makeDrive(seed)
		src := d.sensors(seed)
		r := rand.New(rand.NewPCG(seed, 5))
		for i := range src {
			s := &src[i]
			if s.Kind != Undriven {
				continue
			}
			for k, at := range s.T {
				_, v, _ := d.at(at)
				for range 6 { // late by the way at the speed that is read
					_, v, _ = d.at(at - lag - way/math.Max(v, 1))
				}
				s.V[k] = v / (1 + 3.2e-6*v*v) * (1 + 0.001*r.NormFloat64())
				if v < 0.9 {
					s.V[k] = 0
				}
			}
		}
		res := solve(t, d, src, 0)
		l, lsd, _ := res.Param("wheel lag")
		w, wsd, ok := res.Param("wheel travel")
		if !ok {
			t.Fatal("no way in the wheels' delay")
		}
		if e := l + w/30 - lag - way/30; math.Abs(e) > 0.007 {
			t.Errorf("seed %d: delay at 30 m/s off by %.4f s (lag %.4f ± %.4f s, way %.4f ± %.4f m)", seed, e, l, lsd, w, wsd)
		}
		if math.Abs(w-way) > 0.015 {
			t.Errorf("seed %d: way %.4f ± %.4f m, made with %.3f", seed, w, wsd, way)
		}
	}
}

// TestDrivenLagHeld: where only driven wheels turn, slip that changes through the pass
// does not pass for delay.
func TestDrivenLagHeld(t *testing.T) {
	d := makeDrive(3)
	src := d.sensors(3)
	for i := range src {
		s := &src[i]
		if s.Kind != Undriven {
			continue
		}
		s.Kind = DrivenWheel
		for k, at := range s.T {
			_, v, a := d.at(at)
			s.V[k] *= 1 + 0.004*a*(1-v/120)
		}
	}
	l, _, _ := solve(t, d, src, 0).Param("wheel lag")
	if math.Abs(l-0.012) > 0.006 {
		t.Errorf("lag %.4f s from driven wheels, made with 0.012", l)
	}
}
