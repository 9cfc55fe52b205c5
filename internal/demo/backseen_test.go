package demo

import (
	"math"
	"testing"
)

// Back pressure counts once boost is up, and stays counted where boost falls again; a peak while the
// wastegate was shut does not.
func TestBackSeen(t *testing.T) {
	var b backSeen
	run := func(seconds, exhaust, manifold float64) {
		for range int(seconds / 0.001) {
			b.see(exhaust, manifold, 0.001)
		}
	}
	run(1, 4e5, 1.5e5) // spinning up: a ratio of 2.67
	run(2, 4.5e5, 3e5)
	if got := b.most(); math.Abs(got-1.5) > 0.001 {
		t.Errorf("boost up: %.3f", got)
	}
	run(0.5, 4e5, 2e5) // the turbo's housing used up: boost falls, the ratio rises
	if got := b.most(); math.Abs(got-2) > 0.02 {
		t.Errorf("boost falling: %.3f, want 2", got)
	}
	if got := new(backSeen).most(); got != 0 {
		t.Errorf("not seen: %.3f", got)
	}
}
