package health

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
)

// A sheet that says that a sensor was changed makes earlier passes' readings of it another
// recorder's, and of nothing else.
func TestChangedSensorsAreReadAnew(t *testing.T) {
	f := &frame{sheet: &car.Sheet{Sensors: "Oil pressure : new in June; wheel speeds, fuel_pressure: B"}}
	for _, c := range []struct {
		quantities []string
		want       string
	}{
		{[]string{"oil_pressure"}, "|oil_pressure new in June"},
		{[]string{"fuel_pressure", "manifold_pressure"}, "|fuel_pressure B"},
		{[]string{"engine_speed", "wheel_speed"}, "|wheel_speed "},
		{[]string{"coolant_pressure"}, ""},
	} {
		if got := f.fitted(c.quantities); got != c.want {
			t.Errorf("%v: %q, want %q", c.quantities, got, c.want)
		}
		l := &look{spec: spec{channels: []string{"x"}, sensors: f.fitted(c.quantities), small: 1}}
		apart := l.recorderApart([]*digest{{From: "x"}}) != nil
		if apart != (c.want != "") {
			t.Errorf("%v: apart %v", c.quantities, apart)
		}
	}
}

// An earlier pass is condensed by the sheet that held for it: another final drive since then is
// no clutch that slipped.
func TestEarlierPassesKeepTheirOwnSheet(t *testing.T) {
	then, now := &car.Sheet{}, &car.Sheet{}
	then.TyreRadius.Value, now.TyreRadius.Value = 0.33, 0.36
	r := Record{Set: &dictionary.Set{}, Pass: &pass.Pass{}, Sheet: then}
	if got := Summarise(r, now).Tyres; got == nil || got.Radius != 0.33 {
		t.Errorf("%+v, want the radius of its own sheet", got)
	}
	r.Sheet = nil
	if got := Summarise(r, now).Tyres; got == nil || got.Radius != 0.36 {
		t.Errorf("%+v, want the radius of the judged pass's sheet", got)
	}
}
