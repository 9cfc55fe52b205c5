package fitcar

import (
	"slices"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Where nobody noted the targets of a pass, what was run is what the log shows, not what the
// sheet says is usual: a plan steps from it.
func TestTargetsAreThoseRun(t *testing.T) {
	span := func(gear int, length, target float64) pass.GearSpan {
		return pass.GearSpan{Gear: gear, Start: 0, End: length, BoostTarget: &target}
	}
	channel := &dictionary.Set{Channels: []dictionary.Channel{{Quantity: quantity.BoostTarget, Trace: trace.Trace{T: []float64{0}, V: []float64{40e3}}}}}
	usual := []float64{50e3, 90e3, 140e3, 140e3}
	for _, c := range []struct {
		name  string
		usual []float64
		set   *dictionary.Set
		gears []pass.GearSpan
		want  []float64
	}{
		{"a channel shows the targets, each gear by its longest span", usual, channel,
			[]pass.GearSpan{span(1, 2, 40e3), span(2, 0.2, 10e3), span(2, 2, 86e3), span(3, 3, 120e3)}, []float64{40e3, 86e3, 120e3, 140e3}},
		{"boost settled far from the usual", usual, nil, []pass.GearSpan{span(3, 3, 110e3)}, []float64{50e3, 90e3, 110e3, 140e3}},
		{"boost settled beside it", usual, nil, []pass.GearSpan{span(3, 3, 134e3)}, usual},
		{"a channel and no usual boost", nil, channel, []pass.GearSpan{span(2, 2, 86e3), span(4, 3, 120e3)}, []float64{86e3, 86e3, 86e3, 120e3}},
		{"neither", nil, nil, []pass.GearSpan{span(2, 2, 86e3)}, nil},
	} {
		o := &Observation{Sheet: &car.Sheet{}, Target: c.usual}
		o.targets(&pass.Pass{Gears: c.gears}, c.set)
		if !slices.Equal(o.Target, c.want) {
			t.Errorf("%s: %v, want %v", c.name, o.Target, c.want)
		}
	}
	if usual[2] != 140e3 {
		t.Error("the sheet's own figures were changed")
	}
}
