package plan

import "testing"

// TestWithinReach: whatever a limit takes the plan down to, a hand may drag it there too.
func TestWithinReach(t *testing.T) {
	m := model(t)
	n := next(t, m)
	m.Sheet.Limits.MaxCrankPower = 573e3
	p := make1(t, m, n, Options{})
	b, err := BoundsOf(m, n, false)
	if err != nil {
		t.Fatal(err)
	}
	below := false
	for g, kpa := range p.Settings.Boost {
		pa := kpa * 1e3
		if pa < b.Least[g]-1 || pa > b.Boost[g][1]+1 {
			t.Errorf("gear %d: the plan sets %.0f kPa, the reach is %.0f to %.0f", g+1, kpa, b.Least[g]/1e3, b.Boost[g][1]/1e3)
		}
		below = below || pa < b.Boost[g][0]
	}
	if !p.Card || !below {
		t.Errorf("card %v (%s): no gear went down by more than a step", p.Card, p.NoCard)
	}
}
