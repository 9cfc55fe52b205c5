package main

import (
	"context"
	"math"
	"testing"
)

// TestSpecialPasses: passes that are not as passes usually are, one each: nothing is
// missed or invented, gears are right, and the speed at the trap is.
func TestSpecialPasses(t *testing.T) {
	for i, name := range []string{"feather", "false-start", "warm-up", "late-log", "ends-at-line", "wet", "aborted", "kilometre"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := specialByName(name)
			if s == nil {
				t.Fatal("no such special pass")
			}
			cases, err := specialCases(options{invented: 1, seed: uint64(920 + i)}, *s)
			if err != nil {
				t.Fatal(err)
			}
			r, err := runVariant(context.Background(), cases, variants[0], "")
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range r.Findings.Misses {
				t.Errorf("%s", m.What)
			}
			for _, row := range r.Findings.Rows {
				if row.Quantity == "trap" && math.Abs(row.Error) > 0.2 { // %
					t.Errorf("trap %v m/s, truth %v", row.Got, row.Want)
				}
			}
			if len(r.Findings.Rows) == 0 && name != "late-log" {
				t.Error("nothing was compared")
			}
		})
	}
}

func specialByName(name string) *special {
	for i := range specials {
		if specials[i].name == name {
			return &specials[i]
		}
	}
	return nil
}
