package health

import (
	"fmt"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/trace"
)

// lateTries are the delays, s, with which a channel is first tried: what a recorder that
// asks its boxes in turn, or a filter, makes.
var lateTries = []float64{0.2, 0.45}

const (
	// lateFirst is the delay, s, tried before those: if it adds to the evidence, they would.
	lateFirst, lateWorse = 0.45, 1.02
	lateStep             = 0.1 // s, refinement
	// lateLeft is the share of the evidence that may be left once the delay is taken off,
	// lateWorth how much must be gone, natural logarithm of odds.
	lateLeft, lateWorth = 0.25, 10.0
)

// tardy is a channel that comes later than those it goes with.
type tardy struct {
	channel *dictionary.Channel
	by      float64 // s
	clears  []*observation
}

// late asks whether what a candidate of the engine explains is gone once one of the
// channels that its main watch reads is moved earlier: a recorder's fault, not the
// engine's. Two relations at least must be mended, and none be spoilt.
func (j *judge) late(c *candidate) (best tardy, ok bool) {
	if c.main.rows == nil || c.main.model == nil || c.main.on != nil {
		return best, false
	}
	was := 0.0
	for _, o := range j.obs {
		was += o.evidence
	}
	least := lateLeft * was
	try := func(ch *dictionary.Channel, by float64) {
		left, clears := j.leftIfEarlier(ch, by)
		if left < least && was-left > lateWorth && len(clears) > 1 && slices.Contains(clears, c.main) {
			least, best, ok = left, tardy{ch, by, clears}, true
		}
	}
	for _, name := range c.main.channels {
		for i := range j.set.Channels {
			ch := &j.set.Channels[i]
			if ch.Name != name || ch.Trace.Len() < 40 {
				continue
			}
			if left, _ := j.leftIfEarlier(ch, lateFirst); left > lateWorse*was {
				continue
			}
			for _, by := range lateTries {
				try(ch, by)
			}
		}
	}
	if ok {
		for _, d := range []float64{-lateStep, lateStep, 2 * lateStep} {
			try(best.channel, best.by+d)
		}
	}
	return best, ok
}

// leftIfEarlier is the evidence of all watches once a channel is moved earlier, s, and
// the watches that are then silent and were not.
func (j *judge) leftIfEarlier(ch *dictionary.Channel, by float64) (left float64, clears []*observation) {
	alt := j.changed(ch, func(x trace.Trace) trace.Trace {
		t := make([]float64, len(x.T))
		for i := range t {
			t[i] = x.T[i] - by
		}
		return trace.Trace{T: t, V: x.V}
	})
	for _, o := range j.obs {
		e := o.evidence
		if l := alt[o.id]; l != nil && o.model != nil && !o.ruled && slices.Contains(o.channels, ch.Name) || o.evidence > 1 && l != nil && o.model != nil {
			switch {
			case l.same && !o.part:
				e = o.first
			case o.stretch:
				e = o.stillThere(l)
			case o.reach != nil:
				e = observe(l.reaching(l.on, o.reach), o.model).evidence
			default:
				e = observe(l, o.model).evidence
			}
		}
		if o.evidence > 2 && e < min(2, o.evidence/4) {
			clears = append(clears, o)
		}
		left += e
	}
	return left, clears
}

// tardyFinding words it.
func (j *judge) tardyFinding(t tardy, c *candidate) Finding {
	f := j.finding([]candidate{*c})
	f.Evidence = fmt.Sprintf("%s comes about %.1f s later than what it goes with: moved earlier by that, nothing is left of %s and %s.",
		t.channel.Name, t.by, t.clears[0].title, t.clears[1].title)
	f.Others = append([]Kind{c.kind}, f.Others...)
	f.Kind, f.Severity, f.LookAt, f.Channels = Sensor, Moderate, lookAt[Sensor], names(t.channel)
	f.Score = min(most, f.Score)
	f.Start = j.launch
	for _, o := range t.clears {
		f.covers[o.id] = true
	}
	return f
}
