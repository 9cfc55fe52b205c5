package plan

import (
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
