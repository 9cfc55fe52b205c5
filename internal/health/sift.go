package health

import (
	"fmt"

	"traplight/internal/car"
	"traplight/internal/trace"
)

// leftOut says why the crew's own word keeps a pass out of the baseline; "" when it
// does not.
func (r Record) leftOut() string {
	switch {
	case r.Clear:
		return ""
	case r.Note != nil && r.Note.Provoked:
		return fmt.Sprintf("%s is left out of the baseline: knock was provoked in it on purpose", r.Name)
	case r.Note != nil && r.Note.Good != nil && !*r.Note.Good:
		return fmt.Sprintf("%s is left out of the baseline: its note says that it was no good pass", r.Name)
	}
	return fmt.Sprintf("%s is left out of the baseline: it was not clear", r.Name)
}

// Sift condenses a history and keeps the passes that are clear against the rest
// of it, so that a pass on which something was wrong does not become the normal.
// Below four passes nobody can tell which is the odd one, and all are kept. The
// sentences say what was left out.
func Sift(history []Record, sheet *car.Sheet) (clear []Summary, notes []string) {
	var all []Summary
	var recs []Record
	for _, r := range history {
		if r.Clear {
			all = append(all, Summarise(r, sheet))
			recs = append(recs, r)
		} else {
			notes = append(notes, r.leftOut())
		}
	}
	if len(all) < 4 {
		return all, notes
	}
	others := make([]Summary, 0, len(all))
	for i, r := range recs {
		others = append(others[:0], all[:i]...)
		others = append(others, all[i+1:]...)
		res := ScreenAgainst(r, others, sheet, Options{})
		odd := res.Verdict == StandDown
		for _, f := range res.Findings {
			odd = odd || f.Chance < 1e-3 && f.Kind != Sensor
		}
		if odd {
			notes = append(notes, fmt.Sprintf("%s is left out of the baseline: %s against the other passes", r.Name, res.Findings[0].Kind))
			continue
		}
		clear = append(clear, all[i])
	}
	if len(clear) < 3 {
		// If most are odd, none is the normal.
		return all, []string{"the earlier passes differ so much among one another that none was left out for what it shows"}
	}
	return clear, notes
}

// OnClock gives the result with its times on the log's own clock.
func (r Result) OnClock(c trace.Clock) Result {
	out := r
	out.Findings = make([]Finding, len(r.Findings))
	for i, f := range r.Findings {
		f.Start = c.Log(f.Start)
		moved := append([]Movement(nil), f.Moved...)
		for k := range moved {
			moved[k].Start = c.Log(moved[k].Start)
		}
		f.Moved = moved
		plots := append([]Plot(nil), f.Plots...)
		for k := range plots {
			t := make([]float64, len(plots[k].Time))
			for n, x := range plots[k].Time {
				t[n] = c.Log(x)
			}
			plots[k].Time = t
		}
		f.Plots = plots
		out.Findings[i] = f
	}
	return out
}
