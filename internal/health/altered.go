package health

import (
	"traplight/internal/dictionary"
	"traplight/internal/trace"
)

// altered gives the looks of the pass with a channel's readings changed by delta
// from a time on, in the course of a shape (in proportion to the load: at once).
func (j *judge) altered(ch *dictionary.Channel, from float64, s shape, delta float64) map[string]*look {
	return j.changed(ch, func(x trace.Trace) trace.Trace {
		v := append([]float64(nil), x.V...)
		for k, t := range x.T {
			if t < from || s.Last > 0 && t >= from+s.Last {
				continue
			}
			d := delta
			if s.Rise > 0 {
				d *= min(1, (t-from)/s.Rise)
			}
			v[k] += d
		}
		return trace.Trace{T: x.T, V: v}
	})
}

// changed gives the looks of the pass with other readings of one channel.
func (j *judge) changed(ch *dictionary.Channel, to func(trace.Trace) trace.Trace) map[string]*look {
	set := *j.set
	set.Channels = append([]dictionary.Channel(nil), j.set.Channels...)
	for i := range set.Channels {
		if &j.set.Channels[i] == ch {
			set.Channels[i].Trace = to(ch.Trace)
		}
	}
	f := newFrame(Record{Set: &set, Pass: j.pass, Note: j.note}, j.sheet)
	f.alone = j.frame.alone
	f.fuelIs, f.ethanol = j.fuelIs, j.ethanol // measured, or supposed
	out := map[string]*look{}
	for _, l := range f.watches() {
		if l.on == nil {
			l.on = f
		}
		out[l.id] = l
	}
	return out
}
