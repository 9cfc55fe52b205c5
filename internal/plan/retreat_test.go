package plan

import "testing"

// A gear asks for more than was run by boost, by engine speed out of it or by nitrous in it;
// less boost is no more, and the last gear has no shift.
func TestNoMore(t *testing.T) {
	s := searching(t)
	last := len(s.ran.boost)
	for _, c := range []struct {
		name   string
		gear   int
		change func(x *settings)
		want   bool
	}{
		{"as run", 2, func(*settings) {}, true},
		{"as run, last gear", last, func(*settings) {}, true},
		{"less boost", 2, func(x *settings) { x.boost[1] -= 40e3 }, true},
		{"more in another gear", 2, func(x *settings) { x.boost[2] += 10e3 }, true},
		{"more boost", 2, func(x *settings) { x.boost[1] += 1e3 }, false},
		{"later shift", 2, func(x *settings) { x.shift[1] += 5 }, false},
		{"nitrous", 2, func(x *settings) { x.nitrous = true }, false},
	} {
		x := s.ran.clone()
		c.change(&x)
		if got := s.noMore(x, c.gear); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
