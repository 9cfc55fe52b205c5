package health

import (
	"fmt"

	"traplight/internal/car"
	"traplight/internal/trace"
)

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
		}
	}
	if len(all) < 4 {
		return all, nil
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
		return all, []string{"the earlier passes differ so much among one another that none was left out"}
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
