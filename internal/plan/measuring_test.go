package plan

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

// What a measurement may show is the prior that held the limit: drawn, as often below as p says.
func TestShown(t *testing.T) {
	u := unread{share: 0.95, spread: 0.1}
	for _, p := range []float64{0.1, 0.5, 0.9} {
		x := u.shown(p)
		below, held := 0.0, 0.0
		for i := range 200000 {
			z := math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/200000-1)
			if q := u.share * math.Exp(u.spread*z); q < 1 {
				held++
				if q < x {
					below++
				}
			}
		}
		if math.Abs(below/held-p) > 1e-3 || x >= 1 {
			t.Errorf("chance %g: %.4f, below it %.4f", p, x, below/held)
		}
	}
}

// A rotor's speed that holds a plan back and that nothing shows is worth measuring, the more the less
// it turns out to be; where what may be known of it is all known, or it is far off, nothing is told.
func TestMeasuring(t *testing.T) {
	s := searching(t)
	s.draws = 12
	s.m.Sheet.Limits = car.Limits{}
	x := s.ran.clone()
	ask := func(u unread) []Measured {
		s.unread = map[string]unread{turboSpeed: u}
		v := s.judge(t.Context(), x, s.draws)
		s.holdRun(&v)
		y, _, l := s.polish(t.Context(), x, v, v)
		return s.measuring(t.Context(), y, &v, l)
	}
	a, b := ask(unread{share: 0.93, spread: 0.1}), ask(unread{share: 0.93, spread: 0.1})
	if len(a) != 1 || a[0] != b[0] || a[0].Limit != turboSpeed || !(a[0].Low < a[0].High && a[0].Low <= a[0].Gain && a[0].Gain <= a[0].High) {
		t.Fatalf("%+v, again %+v", a, b)
	}
	if text := a[0].Text(quantity.Metric); !strings.Contains(text, "turbo speed logged") || !strings.Contains(text, "km/h") {
		t.Error(text)
	}
	if far := ask(unread{share: 0.5, spread: 0.05}); len(far) > 0 {
		t.Errorf("a limit that is far off: %+v", far)
	}
	if tight := ask(unread{share: 0.998, spread: 0.0006}); len(tight) > 0 {
		t.Errorf("a limit that is known: %+v", tight)
	}
}
