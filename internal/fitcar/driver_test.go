package fitcar

import (
	"math"
	"testing"

	"traplight/internal/num/xrand"
	"traplight/internal/sim"
)

// A shift is late by the same time in every gear: over the aim by far in a gear that pulls
// hard, hardly in the last. Worked by hand: 0.05 s, 3 rad/s in all, from one pass and from five.
func TestOverByGear(t *testing.T) {
	pull := []float64{420, 190, 90, 40}
	r := xrand.Stream(4, "over")
	for _, passes := range []int{1, 5} {
		var seen []shiftOver
		for range passes {
			for g, p := range pull {
				seen = append(seen, shiftOver{g + 1, 3 + 0.05*p + 2*r.NormFloat64(), p})
			}
		}
		var d Driver
		d.learnOver(seen, 5)
		for g, p := range pull {
			if want := 3 + 0.05*p; math.Abs(d.OverIn(g+1)-want) > 4.5 {
				t.Errorf("%d passes, gear %d: %.1f rad/s over the aim, truth %.1f", passes, g+1, d.OverIn(g+1), want)
			}
		}
		if d.OverSD > 6.5 {
			t.Errorf("%d passes: spread %.1f rad/s, truth 2", passes, d.OverSD)
		}
	}
	// one shift far off moves the others little
	var d Driver
	d.learnOver([]shiftOver{{1, 20, 400}, {2, 8, 150}, {3, 4, 60}, {1, 21, 390}, {2, -60, 140}, {3, 5, 55}}, 4)
	if math.Abs(d.OverIn(3)-4.5) > 5 || math.Abs(d.OverIn(1)-20) > 7 {
		t.Errorf("beside a shift 60 rad/s too early: %.1f and %.1f rad/s", d.OverIn(1), d.OverIn(3))
	}
}

// After launches at another engine speed those at the speed that is meant are drawn.
func TestLaunchAlike(t *testing.T) {
	d := Driver{Launches: []Launch{{Start: sim.Start{V: 12}, Weight: 1, Speed: 400}, {Start: sim.Start{V: 15}, Weight: 0.85, Speed: 600}, {Start: sim.Start{V: 15.5}, Weight: 0.7, Speed: 590}}}
	slow := 0
	r := xrand.Stream(5, "launch")
	for range 1000 {
		if d.Draw(r, 600).V < 13 {
			slow++
		}
	}
	if slow > 50 || d.Typical(600).V < 14 || d.Typical(400).V > 13 {
		t.Errorf("%d of 1000 launches at 600 rad/s are those at 400; typical %.1f and %.1f m/s", slow, d.Typical(600).V, d.Typical(400).V)
	}
}
