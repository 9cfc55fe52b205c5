package health

import (
	"math"
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
