package health

import (
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
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

// changed gives the looks of the pass with other readings of one channel. What was made
// without that channel is taken over.
func (j *judge) changed(ch *dictionary.Channel, to func(trace.Trace) trace.Trace) map[string]*look {
	set := *j.set.Set
	set.Channels = slices.Clone(j.set.Channels)
	cols := map[*dictionary.Channel][]float64{}
	for i := range set.Channels {
		was := &j.set.Channels[i]
		if was == ch {
			set.Channels[i].Trace = to(ch.Trace)
		} else if x, ok := j.cols[was]; ok {
			cols[&set.Channels[i]] = x
		}
	}
	f, anew := j.frame.retold(&set, cols, ch.Quantity)
	out := map[string]*look{}
	for k, kind := range kinds {
		if was := j.groups[k]; !anew && !was.read[ch.Quantity] {
			for _, l := range was.looks {
				l.same = true
				if l.on == nil {
					l.on = j.frame
				}
				out[l.id] = &l
			}
			continue
		}
		_, looks := f.group(kind)
		for _, l := range looks {
			if l.on == nil {
				l.on = f
			}
			out[l.id] = l
		}
	}
	return out
}

// retold is the frame with other readings of one channel, of quantity q, whose other
// columns are given; anew says that it was not made without them.
func (f *frame) retold(set *dictionary.Set, cols map[*dictionary.Channel][]float64, q quantity.Name) (out *frame, anew bool) {
	switch {
	case spanOf(set) != f.span: // another grid
		cols = map[*dictionary.Channel][]float64{}
	case !f.read[q]:
		c := *f
		c.set, c.cols, c.groups = &source{Set: set}, cols, nil
		return &c, false
	}
	out = newFrameWith(Record{Set: set, Pass: f.pass, Note: f.note}, f.sheet, cols)
	out.alone = f.alone
	out.fuelIs, out.ethanol = f.fuelIs, f.ethanol // measured, or supposed
	if f.doubted {
		out.doubtGears()
	}
	return out, true
}
