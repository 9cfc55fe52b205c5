package health

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A differential lets its wheels part while they spin: only what is 0.2 s away from that
// is looked at, on either side.
func TestSpinningWheelsAreLeftOut(t *testing.T) {
	f := &frame{n: 100, slip: filled(100, 0.08)}
	for i := 40; i < 50; i++ {
		f.slip[i] = 0.3
	}
	mask := make([]bool, 100)
	for i := range mask {
		mask[i] = i >= 5
	}
	got := f.holding(mask)
	for i, on := range got {
		if want := i >= 5 && (i < 30 || i > 59); on != want {
			t.Errorf("cell %d: %v", i, on)
		}
	}
	f.slip = filled(100, nan())
	for i, on := range f.holding(mask) {
		if on != mask[i] {
			t.Fatalf("cell %d left out where nobody knows the slip", i)
		}
	}
}

// A start 5 K hotter than any before leaves in doubt what the radiator carries off, in
// moving air and in still; one a kelvin hotter, or cooler, does not.
func TestHotStartIsBeyondWhatWasSeen(t *testing.T) {
	s := spec{terms: []term{{"", 0, 1, 1}, {atLaunch, 0, 0.05, 0.02}, {"still air", 0, 4, 0.3}, {"wind", -1, 4, 0.3}}}
	rows := func(start float64) *rowset {
		r := &rowset{P: 4}
		for i := range 20 {
			v := 0.1 * float64(i)
			r.T, r.Y, r.X = append(r.T, v), append(r.Y, v), append(r.X, 1, start, v, v*v)
		}
		return r
	}
	past := &digest{}
	past.Low, past.High = rows(1).rangeOf()
	for start, want := range map[float64]int{0.2: 0, 1.1: 0, 1.5: 2} {
		r := seen([]*digest{past}, 4)
		l := &look{spec: s, rows: rows(start)}
		r.find(l, &frame{}, 0)
		if len(r.bends) != want {
			t.Fatalf("start %g: %d bends, want %d", start, len(r.bends), want)
		}
		for _, b := range r.bends {
			if name := s.terms[b.by].name; name != "still air" && name != "wind" || b.edge != 1 || b.sd != 4*startBend {
				t.Errorf("start %g: %+v", start, b)
			}
		}
	}
}

// A thermometer of first order, a second slow, sees air that a compressor heats by the
// ideal gas's isentropic rise (γ = 1.4): what it makes wrong of the charge's density is
// told by how lately boost came, whatever the boost's course.
func TestLateThermometerIsToldByBoostComeLately(t *testing.T) {
	for name, course := range map[string]func(t float64) float64{
		"a shift":        func(t float64) float64 { return 2e5 * (1 - math.Exp(-t/0.3)) },
		"a missed shift": func(t float64) float64 { return 2e5 * min(1, max(0, math.Abs(t-2)-0.5)) },
		"two gears":      func(t float64) float64 { return 1e5 * (1 + math.Floor(min(t, 5.9)/3)) },
	} {
		f := &frame{n: 300}
		var truth []float64
		for i := range f.n {
			b := course(float64(i) * cell)
			f.boost = append(f.boost, b)
			truth = append(truth, 295+0.3*295*(math.Pow(1+b/1e5, 0.286)-1))
		}
		read := lag(truth, 1)
		col := comeLately(f.bar())
		var xy, xx, yy float64
		for i := 50; i < f.n; i++ {
			y := math.Log(read[i] / truth[i]) // of fuel for the air as reckoned
			xy, xx, yy = xy+col[i]*y, xx+col[i]*col[i], yy+y*y
		}
		if left := 1 - xy*xy/(xx*yy); left > 0.15 || xy > 0 {
			t.Errorf("%s: %.0f %% of the square left, sign %+.3f", name, 100*left, xy/xx)
		}
	}
}

// A controller that takes a step away at a chance moment and gives it back at a steady
// rate, in one half of the passes: a spell a little larger than the record's is nothing,
// steps that keep coming until the reading stays low are.
func TestSpellsAreWeighedAsSizes(t *testing.T) {
	s := spec{
		id: "trial", wild: true, terms: []term{{"", 0, 5, 0.1}, {"load", 0, 1, 0.05}}, noise: 0.05, corr: 0.2,
		small: 1, visible: 1, shapes: usual, spell: 0.4,
	}
	r := rand.New(rand.NewPCG(5, 8))
	pass := func(steps map[int]float64) *rowset {
		out := &rowset{P: 2}
		taken := 0.0
		for i := range 70 {
			taken = max(0, taken-0.14) + steps[i]
			load := float64(i%20) / 10
			out.T, out.Loose = append(out.T, 0.2*float64(i)), append(out.Loose, false)
			out.X, out.Y = append(out.X, 1, load), append(out.Y, 20+0.3*load-taken+0.05*r.NormFloat64())
		}
		return out
	}
	var ds []*digest
	for i := range 8 {
		steps := map[int]float64{}
		if i%2 == 0 {
			steps[10+r.IntN(50)] = 1 + 0.3*r.Float64()
		}
		ds = append(ds, s.digestRows(pass(steps)))
	}
	m := s.learn(ds, nil)
	if m.spell < 0.2 || m.spell > 0.8 {
		t.Errorf("spell %.2f after spells of 1.0 to 1.3", m.spell)
	}
	many := map[int]float64{}
	for i := 35; i < 70; i += 3 {
		many[i] = 0.9
	}
	for name, c := range map[string]struct {
		steps map[int]float64
		told  bool
	}{"none": {nil, false}, "one more": {map[int]float64{62: 1.6}, false}, "again and again": {many, true}} {
		o := observe(&look{spec: s, rows: pass(c.steps)}, m)
		if got := o.evidence > usualAlarm; got != c.told {
			t.Errorf("%s: evidence %.1f, size %.2f", name, o.evidence, o.hit.Size)
		}
	}
}
