package health

import "traplight/internal/car"

// Judged is a pass with its answer, times on the log's own clock.
type Judged struct {
	Name   string
	Launch float64 // s, log's own clock
	Result Result
	Load   *Load  // nil when power or the engine's size is not known
	Before *Loads // the earlier passes'; nil when none is known
}

// Judge screens a pass and puts its times on the log's own clock.
func Judge(r Record, past []Summary, sheet *car.Sheet, o Options) Judged {
	j := Judged{Name: r.Name, Result: ScreenAgainst(r, past, sheet, o)}
	if r.Set != nil {
		j.Result = j.Result.OnClock(r.Set.Clock)
	}
	if r.Pass != nil {
		j.Launch = r.Pass.Launch.Value
		if r.Set != nil {
			j.Launch = r.Set.Clock.Log(j.Launch)
		}
	}
	if l, ok := LoadOf(r.Pass, sheet); ok {
		j.Load, j.Before = &l, PastLoads(past)
	}
	return j
}
