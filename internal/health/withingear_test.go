package health

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// On a first pass a mixture that leans out in first gear, at the same boost and within a
// second, is told from there, although that gear is compared with no other; one that follows
// boost as it comes, a table that bends over engine speed, and one that wanders are not.
func TestLeapWithinAGearIsSeenOnAFirstPass(t *testing.T) {
	for _, c := range []struct {
		name   string
		lambda func(t, speed, boost float64) float64
		from   float64 // s; NaN: nothing is to be told
	}{
		{"level", func(float64, float64, float64) float64 { return 0.8 }, nan()},
		{"lean from 2.5 s on", func(t, _, _ float64) float64 { return 0.8 + 0.09*max(0, min(1, t-2.5)) }, 2.5},
		{"rich with boost", func(_, _, boost float64) float64 { return 0.92 - 0.12*boost/150e3 }, nan()},
		{"a table over speed", func(_, speed, _ float64) float64 { return 0.8 + 0.06*(speed-550)/230 }, nan()},
		{"wandering", func(t, _, _ float64) float64 { return 0.8 + 0.008*math.Sin(2*t) }, nan()},
	} {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{quantity.Lambda: {c.lambda}})
		f := j.frame
		f.alone, f.boostRate = true, rate(f.boost, 4)
		f.nitrous = make([]float64, f.n)
		w := &watcher{frame: f}
		w.mixture()
		if len(w.looks) != 1 {
			t.Fatalf("%s: %d looks", c.name, len(w.looks))
		}
		all := w.looks[0]
		quiet := &observation{look: all.matched(f)}
		o := j.withinGear(quiet, all)
		switch {
		case math.IsNaN(c.from):
			if o.evidence > 1 {
				t.Errorf("%s: evidence %.1f, %+v", c.name, o.evidence, o.hit)
			}
		case o.evidence < 6 || math.Abs(o.onset(f)-c.from) > 0.5 || o.hit.Size < 0.05:
			t.Errorf("%s: evidence %.1f from %.1f s, %+v", c.name, o.evidence, o.onset(f), o.hit)
		}
	}
}
