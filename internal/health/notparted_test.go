package health

import (
	"slices"
	"testing"

	"traplight/internal/car"
)

// What a log without the channel that would tell cannot part is named beside the cause, and
// with it what to look at first; where the channel has looked it is not.
func TestWhatIsNotPartedIsNamed(t *testing.T) {
	lean := candidate{kind: MixtureLean, score: 14, main: moving("lambda", 0.05, 0.015)}
	without := &judge{frame: &frame{sheet: &car.Sheet{}}, obs: []*observation{lean.main}}
	with := &judge{frame: without.frame, obs: []*observation{lean.main, moving("voltage", 0, 0.35), moving("exhaust apart 2", 0, 12), moving("fuel over manifold", 0, 6e3)}}
	if got := without.notParted([]candidate{lean}); !slices.Equal(got, []Kind{Electrical, MixtureImbalance, FuelSupply}) {
		t.Errorf("lambda alone: %v", got)
	}
	if got := with.notParted([]candidate{lean}); len(got) != 0 {
		t.Errorf("with voltage, pipes and fuel pressure: %v", got)
	}
	near, far := candidate{kind: Ignition, score: 14 - nearly/2}, candidate{kind: Knock, score: 14 - 2*nearly}
	got := with.notParted([]candidate{lean, near, far})
	if !slices.Equal(got, []Kind{Ignition}) {
		t.Errorf("a near and a far kind: %v", got)
	}
	for _, l := range []string{lookAt[MixtureLean][0], lookAt[Ignition][0]} {
		if !slices.Contains(lean.looks(got), l) {
			t.Errorf("%q is not among what to look at first", l)
		}
	}
}

// A coolant that is short of pressure sends nobody to the head gasket first.
func TestLowCoolantPressureIsLookedForAtTheCap(t *testing.T) {
	low := candidate{kind: CoolantPressure, main: moving("coolant pressure", -20e3, 6e3)}
	high := candidate{kind: CoolantPressure, main: moving("coolant pressure", 20e3, 6e3)}
	if l := low.looks(nil); l[0] != lookAt[CoolantPressure][1] {
		t.Errorf("low: first %q", l[0])
	}
	if h := high.looks(nil); h[0] != lookAt[CoolantPressure][0] {
		t.Errorf("high: first %q", h[0])
	}
}
