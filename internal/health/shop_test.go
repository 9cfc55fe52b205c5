package health

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// wandering makes a car whose trial relation wanders by so much from pass to pass.
func wandering(seed uint64, passes int, wander float64) []Summary {
	r := rand.New(rand.NewPCG(seed, 9))
	var out []Summary
	for range passes {
		out = append(out, Summary{Digests: map[string]*digest{"trial": trial.digestRows(trialRows(r, 2, -1.5, wander*r.NormFloat64(), 0, 0, 99))}})
	}
	return out
}

// The other cars' wander must draw the prior towards it, both ways, and leave levels
// and slopes alone.
func TestShopInformsSpreads(t *testing.T) {
	prior := trial.terms[0].wander
	for _, wander := range []float64{0.05, 1.2} {
		s := NewShop(wandering(1, 12, wander), wandering(2, 12, wander), wandering(3, 2, 9))
		if s.Cars() != 2 {
			t.Fatalf("%d cars, want 2: one has too few passes", s.Cars())
		}
		got := s.informed(trial)
		if w := got.terms[0].wander; math.Abs(w-wander) > math.Abs(prior-wander)/1.8 {
			t.Errorf("wander %.2f, others %.2f, prior %.2f", w, wander, prior)
		}
		if got.terms[0].mean != trial.terms[0].mean || got.terms[0].sd != trial.terms[0].sd || trial.terms[0].wander != prior {
			t.Error("levels were taken over, or the watch's own prior was changed")
		}
	}
	var none *Shop
	if none.informed(trial).terms[0].wander != prior || NewShop(wandering(1, 3, 1)) != nil {
		t.Error("something was learnt from nothing")
	}
}

// What the answer rests on is said, the other cars while they have a say.
func TestBasisTellsOfTheShop(t *testing.T) {
	shop := NewShop(wandering(1, 5, 0.3))
	for n, want := range map[int]bool{2: true, fewPasses: false} {
		j := &judge{past: wandering(4, n, 0.3), opts: Options{Shop: shop}}
		if got := strings.Contains(j.basis(), "1 other car"); got != want {
			t.Errorf("%d passes: %q", n, j.basis())
		}
	}
}
