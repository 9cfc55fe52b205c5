package plan

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// A limit that no channel shows does not refuse what was run, however a pass scatters: with the
// draws of the settings last run its chance is nothing, with more it grows. Without them scatter
// alone would make it 1 % and more.
func TestRunAgainIsNotRefused(t *testing.T) {
	u := unread{share: 0.78, spread: 0.12}
	draws := func(more float64) (out []drawn) {
		for i := range 100 {
			rise := more * (1 + 0.08*(float64(i)/49.5-1))
			out = append(out, drawn{trap: 80, gears: []sim.Gear{{}}, margins: []margin{u.margin(1, fuelSupply, rise, 0.1)}})
		}
		return out
	}
	s := &search{unread: map[string]unread{fuelSupply: u}}
	worst, kinds := s.chances(draws(1), 100)
	alone := kinds[0].chance
	s.holdRun(&verdict{kinds: kinds, worst: worst})
	_, kinds = s.chances(draws(1), 100)
	same := kinds[0].chance
	_, kinds = s.chances(draws(1.1), 100)
	more := kinds[0].chance
	if alone < 0.001 || same > 1e-9 || more < 0.02 {
		t.Errorf("scatter alone %.4f; as run %.4f, with a tenth more %.4f", alone, same, more)
	}
}

// What is not known of two gears' figures differs: in one draw the one is nearest to the limit, in the
// next the other. Their margins together have a spread that neither has; the pass goes over no more
// often than both gears together, and no less than the worse.
func TestKindWithinItsGears(t *testing.T) {
	s := &search{}
	var out []drawn
	var nearest spreadOf
	for i := range 40 {
		first, second := margin{1, "x", Hard, 0.098, 0.020, nil}, margin{2, "x", Hard, 0.030, 0.006, nil}
		if i%2 == 0 {
			first.value = 0.102
			nearest.add(&second)
		} else {
			nearest.add(&first)
		}
		out = append(out, drawn{trap: 80, gears: []sim.Gear{{}}, margins: []margin{first, second}})
	}
	worst, kinds := s.chances(out, len(out))
	if len(worst) != 2 || len(kinds) != 1 {
		t.Fatalf("%+v %+v", worst, kinds)
	}
	sum, most, k := worst[0].chance+worst[1].chance, max(worst[0].chance, worst[1].chance), kinds[0]
	if alone := nearest.chance(len(out), false, 0); alone.chance < 0.01 || k.chance > sum*(1+1e-9) || k.chance < most || math.Abs(k.chance-tail(k.z)) > 1e-12 {
		t.Errorf("kind %g (z %g), its nearest margins as one %g, gears %g and %g", k.chance, k.z, alone.chance, worst[0].chance, worst[1].chance)
	}
}
