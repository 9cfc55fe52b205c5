package health

import (
	"math"
	"testing"
)

// A missed shift and what follows on it is left out, a shift is not, and a log without
// a throttle loses nothing.
func TestLiftedLeavesShiftsIn(t *testing.T) {
	for _, c := range []struct {
		name string
		shut float64 // s
		none bool
		out  float64 // s left out
	}{
		{"a shift", 0.3, false, 0},
		{"a slow shift", 0.42, false, 0},
		{"a missed one", 1.2, false, 1.2 + liftAfter},
		{"no throttle", 1.2, true, 0},
	} {
		f := &frame{n: int(10 / cell), launch: 0, end: 10}
		for i := range f.n {
			at, v := float64(i)*cell, 1.0
			if at >= 5 && at < 5+c.shut {
				v = 0
			}
			if c.none {
				v = math.NaN()
			}
			f.t, f.throttle = append(f.t, at), append(f.throttle, v)
		}
		n := 0
		for _, on := range f.lifted() {
			if on {
				n++
			}
		}
		if got := float64(n) * cell; math.Abs(got-c.out) > 0.1 {
			t.Errorf("%s: %.2f s left out, want %.2f", c.name, got, c.out)
		}
	}
}
