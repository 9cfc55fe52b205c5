package plan

import (
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/fitcar"
)

// TestBiteTold: a clutch that bites beyond the gearbox's limit is told with its chances and
// with what to do; a softer clamp is named only where the engine leaves room for it.
func TestBiteTold(t *testing.T) {
	bite := func(gear int, chance float64) limitChance {
		return limitChance{gear: gear, limit: clutchBite, class: Hard, chance: chance}
	}
	for _, c := range []struct {
		name  string
		worst []limitChance
		input float64 // N·m
		want  string  // "" nothing told
		clamp bool
	}{
		{"seldom", []limitChance{bite(1, 0.0005)}, 900, "", false},
		{"another limit", []limitChance{{gear: 1, limit: "boost", class: Hard, chance: 0.5}}, 900, "", false},
		{"one gear", []limitChance{bite(2, 0.46)}, 900, "into gear 2 it may pass more than the gearbox's limit, whatever the boost (chance 46 % a pass,", true},
		{"three gears", []limitChance{bite(2, 0.05), bite(3, 0.46), bite(4, 0.2)}, 900, "into gears 2, 3 and 4 it may pass more than the gearbox's limit, whatever the boost (chance 5 % to 46 % a pass,", true},
		{"no room for a softer clamp", []limitChance{bite(1, 0.46)}, 1350, "let it in more softly; look at the gearbox oil", false},
	} {
		s := &search{m: &fitcar.Model{Sheet: &car.Sheet{}}}
		s.m.Sheet.Limits.GearboxTorque = []float64{1380}
		told := strings.Join(s.standing(&verdict{worst: c.worst, kinds: c.worst, gears: []gearVerdict{{input: c.input}, {input: c.input - 200}}}), "|")
		if (c.want == "") != (told == "") || !strings.Contains(told, c.want) {
			t.Errorf("%s: told %q, want %q", c.name, told, c.want)
		}
		if c.want == "" {
			continue
		}
		if got := strings.Contains(told, "clamp no more than that limit (the engine itself asks 65 % of it)"); got != c.clamp {
			t.Errorf("%s: a softer clamp named: %v, want %v (%q)", c.name, got, c.clamp, told)
		}
		if !strings.Contains(told, "oil for metal") {
			t.Errorf("%s: nothing to look at: %q", c.name, told)
		}
	}
}
