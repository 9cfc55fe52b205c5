package health

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// A mixture that goes lean by 0.06 at the shift into third gear, where boost rises as it may
// on any pass, bends the curve that is laid through the pass and hides behind what that
// leaves; with it taken out of the noise it stands out. A level mixture, one that wanders and
// one that follows engine speed do not.
func TestFaultIsNoNoiseOfItsOwn(t *testing.T) {
	for _, c := range []struct {
		name   string
		lambda func(t, speed, boost float64) float64
		want   bool
	}{
		{"level", func(t, _, _ float64) float64 { return 0.8 + 0.001*math.Sin(9*t) }, false},
		{"wandering", func(t, _, _ float64) float64 { return 0.8 + 0.008*math.Sin(2*t) }, false},
		{"a table over speed", func(_, speed, _ float64) float64 { return 0.8 + 0.06*(speed-550)/230 }, false},
		{"lean from 8 s on", func(t, _, _ float64) float64 { return 0.8 + 0.001*math.Sin(9*t) + 0.06*max(0, min(1, 2*(t-8))) }, true},
	} {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{quantity.Lambda: {c.lambda}})
		f := j.frame
		f.alone, f.boostRate = true, rate(f.boost, 4)
		f.nitrous = make([]float64, f.n)
		w := &watcher{frame: f}
		w.mixture()
		l := w.looks[0].matched(f)
		own := l.digestRows(l.rows)
		m := l.learn(nil, own)
		m.alone(own, l)
		before := observe(l, m)
		o := l.undisturbed(before)
		if o.evidence < before.evidence {
			t.Errorf("%s: evidence %.1f → %.1f", c.name, before.evidence, o.evidence)
		}
		if got := o.evidence > aloneAlarm; got != c.want {
			t.Errorf("%s: evidence %.1f → %.1f, %+v noise %.4f → %.4f", c.name, before.evidence, o.evidence, o.hit, m.noise, o.model.noise)
		}
		if c.want && before.evidence > o.evidence-1 {
			t.Errorf("%s: evidence %.1f → %.1f", c.name, before.evidence, o.evidence)
		}
	}
}
