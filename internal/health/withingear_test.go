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

// A motion's smoother sees a shift or a lift coming: torque that falls just before a stretch
// ends is no leap, what falls in its middle is.
func TestTorqueBeforeAShiftIsNoLeap(t *testing.T) {
	for _, c := range []struct {
		before float64 // s before the end of third gear, from when a third of the torque is gone
		want   bool
	}{{0.4, false}, {2, true}} {
		j := firstPass(nil)
		f := j.frame
		f.alone, f.boostRate = true, rate(f.boost, 4)
		y := apply(f.n, func(i int) float64 {
			v := 7 + 0.002*math.Sin(float64(7*(i/block)))
			if f.t[i] > 12-c.before && f.t[i] < 12 {
				v -= 0.4
			}
			return v
		})
		l := &look{spec: spec{id: "torque over air", lawful: true, measure: ofShare, terms: []term{{"", 7, 0.35, 0.015}}, noise: 0.02, corr: 0.4, small: 0.04, visible: 0.05, shapes: usual},
			mask: f.full, y: y}
		l.rows = f.collect(l.mask, y, nil)
		o := j.withinGear(&observation{look: l}, l)
		if got := o.evidence > 4; got != c.want {
			t.Errorf("%.1f s before the shift: evidence %.1f, %+v", c.before, o.evidence, o.hit)
		}
	}
}
