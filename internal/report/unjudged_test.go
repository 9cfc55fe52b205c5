package report

import (
	"slices"
	"testing"
)

// TestUnjudged tells channels that lack in one item and keeps every other reason whole.
func TestUnjudged(t *testing.T) {
	got := Unjudged([]string{
		"the rest of the pass: the log ends 3.0 s after the launch, before a finish or a lift",
		"oil: no pressure channel", "oil at idle: no idling before the launch or after the pass in the log, or no pressure channel",
		"coolant pressure: no pressure channel", "cooling: no coolant temperature channel", "mixture: no lambda channel",
		"fuel supply: no fuel pressure channel, or no manifold pressure beside it", "cooling: no coolant temperature channel",
	})
	want := []string{
		"the rest of the pass: the log ends 3.0 s after the launch, before a finish or a lift",
		"oil at idle: no idling before the launch or after the pass in the log, or no pressure channel",
		"fuel supply: no fuel pressure channel, or no manifold pressure beside it",
		"what needs a channel for oil pressure, coolant pressure, coolant temperature, lambda",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
	if got := Unjudged(nil); got != nil {
		t.Errorf("nothing becomes %q", got)
	}
}
