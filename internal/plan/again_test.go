package plan

import (
	"math"
	"testing"
)

// The settings that a plan chose, written down and worked out again, are told the same chances:
// a page that shows both must not tell two.
func TestToldOnce(t *testing.T) {
	m := model(t)
	p, err := plain()
	if err != nil {
		t.Fatal(err)
	}
	n := *next(t, m)
	n.Target, n.ShiftAim = nil, nil
	for _, b := range p.Settings.Boost {
		n.Target = append(n.Target, b*1e3)
	}
	for _, w := range p.Settings.Shift {
		n.ShiftAim = append(n.ShiftAim, w*math.Pi/30)
	}
	j, err := Judge(t.Context(), m, &n, Options{Draws: 12, Verdict: "clear"})
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, want := range p.Limits {
		for _, got := range j.Limits {
			if got.Gear != want.Gear || got.Limit != want.Limit {
				continue
			}
			told++
			if math.Abs(got.Chance-want.Chance) > 0.002 {
				t.Errorf("%s in gear %d: %.4f by the plan, %.4f worked out again", want.Limit, want.Gear, want.Chance, got.Chance)
			}
		}
	}
	if told < len(m.Mean.Car.Ratios) {
		t.Fatalf("%d limits in common", told)
	}
}
