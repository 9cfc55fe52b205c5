package plan

import "testing"

// TestLimitWords: what a per cent more is of, what the next step would do, and that a rule is
// no chance.
func TestLimitWords(t *testing.T) {
	for _, c := range []struct {
		l           Limit
		words, step string
	}{
		{Limit{Gear: 4, Limit: "fuel supply", Class: Hard, Chance: 0.001, More: 0.04}, "chance 0.1 %, 4 % with 1 % more boost", "1 % more boost"},
		{Limit{Gear: 1, Limit: "grip", Class: Soft, Chance: 0.98, More: 0.99}, "chance 98 %", "1 % more boost"},
		{Limit{Gear: 3, Limit: oneStep, Class: Soft}, "our own rule", "1 % more boost"},
		{Limit{Limit: "shut-down", Class: Hard, Chance: 0.004}, "chance 0.4 %", "1 % more of it"},
	} {
		if got := c.l.ChanceWords(); got != c.words {
			t.Errorf("%s: %q, want %q", c.l.Limit, got, c.words)
		}
		if got := c.l.Step(); got != c.step {
			t.Errorf("%s: %q, want %q", c.l.Limit, got, c.step)
		}
	}
}
