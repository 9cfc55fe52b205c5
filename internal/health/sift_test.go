package health

import (
	"strings"
	"testing"

	"traplight/internal/car"
)

// What the crew says of a pass keeps it out of the baseline, and is told.
func TestCrewsWordKeepsPassOut(t *testing.T) {
	no := false
	history := []Record{
		{Name: "p1", Note: &car.PassNote{Provoked: true}},
		{Name: "p2", Note: &car.PassNote{Good: &no}},
		{Name: "p3", Clear: true},
	}
	clear, notes := Sift(history, nil)
	if len(clear) != 1 || clear[0].Name != "p3" || len(notes) != 2 {
		t.Fatalf("%d clear, notes %q", len(clear), notes)
	}
	for i, want := range []string{"provoked", "no good pass"} {
		if !strings.Contains(notes[i], want) {
			t.Errorf("note %q does not say %q", notes[i], want)
		}
	}
}

// Knock that was provoked on purpose is no finding, and the answer says so.
func TestProvokedKnockIsNoFinding(t *testing.T) {
	watch := func(id string) *observation { return &observation{look: &look{spec: spec{id: id}}} }
	j := &judge{frame: &frame{note: &car.PassNote{Provoked: true}}, obs: []*observation{watch("knock level 1"), watch("knock bursts"), watch("lambda")}}
	j.provoked()
	if len(j.obs) != 1 || j.obs[0].id != "lambda" || len(j.doubts) != 1 {
		t.Errorf("%d watches left, doubts %q", len(j.obs), j.doubts)
	}
}
