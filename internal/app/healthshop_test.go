package app

import (
	"slices"
	"testing"

	"traplight/internal/health"
)

// TestGraver: a verdict that forbids a card is graver than one that does not, and what could
// not be judged forbids it too.
func TestGraver(t *testing.T) {
	rising := []health.Verdict{health.Clear, health.Inspect, health.None, health.StandDown}
	for i, a := range rising {
		for k, b := range rising {
			if got := graver(a, b); got != (i > k) {
				t.Errorf("%q graver than %q: %v", a, b, got)
			}
		}
	}
}

func TestBesideSaid(t *testing.T) {
	if s := besideSaid("m05.csv pass 1", health.Clear, health.Clear); s != nil {
		t.Errorf("like verdicts are told: %q", s)
	}
	want := []string{"m05.csv pass 1: judged 'stand down' beside the shop's other cars; by this car's own passes alone: not judged. The graver of the two holds for the card"}
	if s := besideSaid("m05.csv pass 1", health.StandDown, health.None); !slices.Equal(s, want) {
		t.Errorf("got %q, want %q", s, want)
	}
}
