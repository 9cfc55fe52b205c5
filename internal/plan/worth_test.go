package plan

import "testing"

// What brings next to nothing is not worth a change: the settings run stay, unless the best chance
// of the target is asked for, or they do not hold the hard limits.
func TestWorthWhile(t *testing.T) {
	for _, c := range []struct {
		name      string
		gain      float64 // m/s
		forTarget bool
		keeps     bool
	}{
		{"slower", -0.2, false, true},
		{"as good as nothing", 0.03, false, true},
		{"worth it", 0.07, false, false},
		{"a little for the target", 0.03, true, false},
	} {
		s := searching(t)
		s.opt.ForTarget = c.forTarget
		s.learnSpin(t.Context())
		x := settings{boost: s.ran.boost, shift: s.ran.shift}
		s.learnGrip(t.Context(), x)
		s.seed++
		v := s.judge(t.Context(), x, 12)
		s.seed--
		y := x.clone()
		y.boost[0] += 1e3
		w := v
		w.score += c.gain
		got, _ := s.notSlower(t.Context(), x, y, w)
		if kept := got.boost[0] == x.boost[0]; kept != c.keeps {
			t.Errorf("%s: the settings run stay: %v", c.name, kept)
		}
	}
}
