package plan

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/fitcar"
)

// A mixture leaner at full load than the sheet allows is told first; lean at part load, or for
// a moment after a shift, it is not.
func TestLeanAlready(t *testing.T) {
	m := *model(t)
	sheet := *m.Sheet
	sheet.Limits.MaxLambda = 0.84
	m.Sheet = &sheet
	last := &m.Passes[len(m.Passes)-1]
	o := *last.Obs
	gear, high := o.Gear[len(o.Gear)/2], 250e3
	o.Gears, o.Boost = []fitcar.GearSeen{{Gear: gear}}, make([]float64, len(o.X))
	n := 0
	for i := range o.X {
		o.Boost[i] = high
		if o.Gear[i] == gear {
			if n++; n < 20 { // boost comes
				o.Boost[i] = 0.8 * high
			}
		}
	}
	told := func(lambda func(i int) float64) string {
		o.Lambda = make([]float64, len(o.X))
		for i := range o.Lambda {
			o.Lambda[i] = lambda(i)
		}
		p := m
		p.Passes = append(p.Passes[:len(p.Passes)-1:len(p.Passes)-1], *last)
		p.Passes[len(p.Passes)-1].Obs = &o
		return strings.Join(standing(&p), "|")
	}
	if s := told(func(int) float64 { return 0.88 }); !strings.Contains(s, "lambda in ") || !strings.Contains(s, "0.88 of 0.84") {
		t.Errorf("lean all the way: %q", s)
	}
	if s := told(func(i int) float64 {
		if o.Boost[i] < 0.9*high {
			return 0.95
		}
		return 0.80
	}); strings.Contains(s, "lambda in "+string(rune('0'+gear))) {
		t.Errorf("lean at part load: %q", s)
	}
	if s := told(func(int) float64 { return math.NaN() }); strings.Contains(s, "lambda") {
		t.Errorf("not read: %q", s)
	}
}
