package setup

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// ran is an invented pass with two gears and a log that shows most settings.
func ran(target2, launch, tyre float64, nitrous bool) (*pass.Pass, *dictionary.Set) {
	shift := 7550 * rpm
	finish := quantity.Estimate{Value: 20}
	p := &pass.Pass{Launch: quantity.Estimate{Value: 5}, Finish: &finish, Gears: []pass.GearSpan{
		{Gear: 1, Start: 5, End: 8, FullThrottle: []pass.Window{{From: 6, To: 8}}, ShiftEngineSpeed: &shift},
		{Gear: 2, Start: 8.3, End: 20, FullThrottle: []pass.Window{{From: 8.3, To: 20}}},
	}}
	var target, speed, flow, cold trace.Trace
	for t := 0.0; t < 20; t += 0.1 {
		boost := 60e3
		if t > 8.1 {
			boost = target2
		}
		on := 0.0
		if nitrous && t > 9 && t < 9.5 {
			on = 1
		}
		for x, v := range map[*trace.Trace]float64{&target: boost, &speed: launch, &flow: on, &cold: tyre} {
			x.T, x.V = append(x.T, t), append(x.V, v)
		}
	}
	return p, &dictionary.Set{Channels: []dictionary.Channel{
		{Quantity: quantity.BoostTarget, Trace: target}, {Quantity: quantity.EngineSpeed, Trace: speed},
		{Quantity: quantity.Nitrous, Trace: flow}, {Quantity: quantity.TyrePressure, Trace: cold},
	}}
}

func find(t *testing.T, list []Setting, name string, gear int) Setting {
	t.Helper()
	for _, s := range list {
		if s.Name == name && s.Gear == gear {
			return s
		}
	}
	t.Fatalf("no %s %d in %v", name, gear, list)
	return Setting{}
}

func TestOf(t *testing.T) {
	p, set := ran(150e3, 4500*rpm, 160e3, true)
	armed := true
	note := &car.PassNote{BoostTarget: []float64{60e3, 180e3}, ShiftAim: []float64{7500 * rpm}, Nitrous: &armed, ColdPressure: 160e3, LaunchSpeed: math.NaN(), Ethanol: 0.83, MassAdd: 20}
	sheet := &car.Sheet{Mass: quantity.Estimate{Value: 1200}}
	list := Of(p, set, sheet, note)
	for _, c := range []struct {
		name          string
		gear          int
		noted, logged float64 // NaN: none
		doubt         bool
	}{
		{BoostTarget, 1, 60e3, 60e3, false}, {BoostTarget, 2, 180e3, 150e3, true}, {ShiftSpeed, 1, 7500 * rpm, 7550 * rpm, false},
		{LaunchSpeed, 0, math.NaN(), 4500 * rpm, false}, {Nitrous, 0, 1, 1, false}, {TyrePressure, 0, 160e3, 160e3, false},
		{Mass, 0, 1220, math.NaN(), false}, {Ethanol, 0, 0.83, math.NaN(), false},
	} {
		s := find(t, list, c.name, c.gear)
		same := func(got *float64, want float64) bool {
			return got == nil && math.IsNaN(want) || got != nil && math.Abs(*got-want) < 1e-6*math.Abs(want)
		}
		if !same(s.Noted, c.noted) || !same(s.Logged, c.logged) || s.Doubt() != c.doubt {
			t.Errorf("%s %d: noted %v, logged %v, doubt %v; want %v", c.name, c.gear, s.Noted, s.Logged, s.Doubt(), c)
		}
	}
	if list := Of(p, nil, nil, nil); len(list) != 1 || list[0].Name != ShiftSpeed {
		t.Errorf("a log without channels: %v", list)
	}
}

func TestDiffer(t *testing.T) {
	p, set := ran(150e3, 4500*rpm, 160e3, false)
	q, other := ran(170e3, 4600*rpm, 160e3, true)
	one := &car.PassNote{BoostTarget: []float64{60e3, 150e3}, ColdPressure: math.NaN(), LaunchSpeed: math.NaN(), Ethanol: math.NaN()}
	a, b := Of(p, set, nil, one), Of(q, other, nil, nil)
	var got []string
	for _, c := range Differ(a, b) {
		got = append(got, c.title())
	}
	// The launch differs by less than the driver's hand, the first gear's boost not at all.
	if want := "boost target, second; nitrous"; strings.Join(got, "; ") != want {
		t.Errorf("%q, want %q", got, want)
	}
	if d := Differ(a, a); len(d) != 0 {
		t.Errorf("a pass against itself: %v", d)
	}
	var text strings.Builder
	if err := WriteText(&text, quantity.Metric, []Pass{{"one.csv", a}, {"two.csv", b}}); err != nil || !strings.Contains(text.String(), "boost target, second  150 kPa → 170 kPa  by the log") || !strings.Contains(text.String(), "off → on") {
		t.Errorf("%v\n%s", err, text.String())
	}
}
