package ledger

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim/simtest"
)

// A log that tells slip badly, no boost and no wind gets wider lines of what rests on them, and
// says so; one that tells all says nothing.
func TestDoubts(t *testing.T) {
	m := model(t, 1)
	if got := Doubts(m, 1); len(got) != 0 {
		t.Errorf("a full log: %q", got)
	}
	sure, err := Of(t.Context(), m, 1)
	if err != nil {
		t.Fatal(err)
	}
	o := m.Passes[1].Obs
	o.VSD = make([]float64, len(o.V))
	for i, v := range o.V {
		o.VSD[i] = 0.03 * v
	}
	o.Boost, o.WindSD = nil, 1.3
	if got := Doubts(m, 1); len(got) != 3 {
		t.Errorf("without slip, boost and wind: %q", got)
	}
	wide, err := Of(t.Context(), m, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range sure {
		w := wide[i].SD / l.SD
		if rests := i < players && slippery[i]; rests && w < 1.5 || !rests && math.Abs(w-1) > 0.3 {
			t.Errorf("%s: the spread is %.3f where slip is known, %.3f where it is not", l.Cause, l.SD, wide[i].SD)
		}
	}
}

// Boost that is lost half way, as through a hole that opens, is no car's own course: the lines
// are wider and the notes say so.
func TestAmiss(t *testing.T) {
	m := model(t, 1)
	if a := amiss(m, 1); a != 0 {
		t.Errorf("a sound pass is amiss by %.3f", a)
	}
	sure, err := Of(t.Context(), m, 1)
	if err != nil {
		t.Fatal(err)
	}
	o := m.Passes[1].Obs
	for i := range o.Boost {
		if o.X[i] > 400 {
			o.Boost[i] = o.Air.Pressure + 0.8*(o.Boost[i]-o.Air.Pressure)
		}
	}
	if a := amiss(m, 1); a < 0.02 || a > 0.1 {
		t.Errorf("a fifth of boost lost half way: amiss by %.3f", a)
	}
	if got := Doubts(m, 1); len(got) != 1 {
		t.Errorf("%q", got)
	}
	wide, err := Of(t.Context(), m, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range sure {
		if own := l.Group == "ours"; own && wide[i].SD < l.SD+0.2 || !own && wide[i].SD != l.SD {
			t.Errorf("%s: ± %.2f, with the loss ± %.2f", l.Cause, l.SD, wide[i].SD)
		}
	}
}

// What an ill pass ran less than the car of the sound ones is power that was not there, however
// much it is.
func TestIll(t *testing.T) {
	target := simtest.InventedPass().Target
	runs, err := fitcartest.Record(2, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	c := simtest.Invented()
	for i := range c.Engine.Gain {
		c.Engine.Gain[i] *= 0.6
	}
	ill, err := fitcartest.RecordOf(c, 3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := fitcartest.Record(3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	o := ill[2].Obs
	o.Finding = "cylinder down"
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), append(fitcartest.Observations(runs), o), fitcar.Options{Members: 2})
	if err != nil {
		t.Fatal(err)
	}
	lines, err := Of(t.Context(), m, 2)
	if err != nil {
		t.Fatal(err)
	}
	lost := whole[2].Trap - ill[2].Trap
	if lost < unlike*ill[2].Trap {
		t.Fatalf("only %.1f m/s are lost: nothing is tested", lost)
	}
	if l := lines[power]; math.Abs(l.Alone-lost) > 0.06*lost || l.AloneSD > 0.4*lost {
		t.Errorf("%s %.1f ± %.1f m/s, lost %.1f", l.Cause, l.Alone, l.AloneSD, lost)
	}
	if d := Doubts(m, 2); len(d) == 0 || !strings.Contains(d[0], "line of power") {
		t.Errorf("%q", d)
	}
}
