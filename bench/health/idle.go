package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"slices"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
)

// rested is a pass with idling before and after it, screened against a history with
// the same.
type rested struct {
	mode  string // "" healthy
	grade demo.Grade
	shown bool // in a mean at idle that the log holds
	res   health.Result
}

// idling tries the watches of an engine at idle: healthy passes, and the faults that
// show then.
func (b *bench) idling(w io.Writer, healthy int) error {
	gs, err := b.garages()
	if err != nil {
		return err
	}
	for _, g := range gs {
		for i := range history {
			rec, _, err := b.idlePass(g, "history", "", i)
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				continue
			}
			g.past = append(g.past, health.Summarise(rec, g.sheet))
		}
	}
	var all []rested
	try := func(g *garage, mode string, grade demo.Grade, i int) {
		rec, tr, err := b.idlePass(g, mode, grade, i)
		if err != nil {
			b.failed++
			fmt.Fprintln(os.Stderr, err)
			return
		}
		r := rested{mode: mode, grade: grade, shown: tr.shownAtRest()}
		r.res = health.ScreenAgainst(rec, g.past, g.sheet, health.Options{Units: quantity.Metric})
		if b.verbose && (mode == "" && r.res.Verdict != health.Clear || r.shown && !r.atRest()) {
			fmt.Fprintf(w, "%s/%s %s %s %d: %q %.1f\n", g.car.ID, g.sensors, mode, grade, i, r.res.Verdict, r.res.Strength)
			for _, f := range r.res.Findings {
				fmt.Fprintf(w, "      %s %.1f %s\n", f.Kind, f.Score, f.Evidence)
			}
		}
		all = append(all, r)
	}
	for i := range healthy {
		try(gs[i%len(gs)], "", "", i)
	}
	for mi, mode := range restModes() {
		for _, gr := range demo.Grades() {
			for i := range b.each {
				try(gs[(8*i+5*mi)%len(gs)], mode, gr, i)
			}
		}
	}
	b.idleTable(w, all)
	return nil
}

func restModes() []string {
	var out []string
	for m := range demo.Resting() {
		out = append(out, m)
	}
	slices.Sort(out)
	return out
}

// idlePass makes the i-th pass of a kind: "history", "" healthy or a mode at rest.
func (b *bench) idlePass(g *garage, mode string, grade demo.Grade, i int) (health.Record, *truth, error) {
	name := fmt.Sprintf("%d-%s-%s-idle-%s-%s-%d", b.seed, g.car.ID, g.sensors, mode, grade, i)
	r := xrand.Stream(b.seed, name)
	o := g.options(r, fmt.Sprintf("i%03d", i))
	o.Driver.IdleBefore, o.Driver.IdleAfter = stretch(r), stretch(r)
	if f, ok := g.car.MakeResting(mode, grade, r.Uint64()); ok {
		o.Driver.LiftAt = 0
		o.Fault = &f
	}
	return g.recall(b.cache, name, o, r.Uint64())
}

// stretch is a time of idling, s.
func stretch(r *rand.Rand) float64 { return 20 + 40*r.Float64() }

// shownAtRest says whether a mean at idle of a signal that the log has is off by more
// than the truth's threshold.
func (t *truth) shownAtRest() bool {
	if t == nil || len(t.Passes) == 0 || len(t.Passes[0].Faults) == 0 {
		return false
	}
	for _, part := range t.Passes[0].Faults[0].AtRest {
		for signal := range part {
			for _, c := range t.Channels {
				if c.Quantity == signal {
					return true
				}
			}
		}
	}
	return false
}

// atRest says whether a finding rests on what moved at idle.
func (r *rested) atRest() bool {
	for _, f := range r.res.Findings {
		for _, m := range f.Moved {
			if strings.Contains(m.What, "at idle") {
				return true
			}
		}
	}
	return false
}

func (b *bench) idleTable(w io.Writer, all []rested) {
	fmt.Fprintf(w, "Invented cars with 20 to 60 s of idling before and after each pass; %d earlier passes a car; seed %d; %d passes could not be read.\n\n", history, b.seed, b.failed)
	count := func(in, is func(r *rested) bool) stats.Proportion {
		k, n := 0, 0
		for i := range all {
			if !in(&all[i]) {
				continue
			}
			n++
			if is(&all[i]) {
				k++
			}
		}
		return stats.Binomial(k, n)
	}
	cell := func(p stats.Proportion) string {
		return fmt.Sprintf("%3d of %3d %5.1f (%5.1f to %5.1f)", p.K, p.N, 100*p.P, 100*p.Low, 100*p.High)
	}
	healthy := func(r *rested) bool { return r.mode == "" }
	fmt.Fprintf(w, "healthy passes not clear: %s %%\n", cell(count(healthy, func(r *rested) bool { return r.res.Verdict != health.Clear })))
	fmt.Fprintf(w, "  of them by what moved at idle: %s %%\n", cell(count(healthy, (*rested).atRest)))
	fmt.Fprintf(w, "%-15s %-9s %-34s %-34s %s\n", "fault", "grade", "found by anything, % (95 %)", "by what moved at idle", "right kind first, of those found")
	line := func(name, grade string, in func(r *rested) bool) {
		shown := func(r *rested) bool { return in(r) && r.mode != "" && r.shown }
		found := func(r *rested) bool { return len(r.res.Findings) > 0 }
		named := func(r *rested) bool { return string(r.res.Findings[0].Kind) == string(demo.Resting()[r.mode]) }
		fmt.Fprintf(w, "%-15s %-9s %-34s %-34s %s\n", name, grade, cell(count(shown, found)), cell(count(shown, (*rested).atRest)),
			cell(count(func(r *rested) bool { return shown(r) && found(r) }, named)))
	}
	for _, m := range restModes() {
		for _, g := range demo.Grades() {
			line(m, string(g), func(r *rested) bool { return r.mode == m && r.grade == g })
		}
	}
	for _, g := range demo.Grades() {
		line("all", string(g), func(r *rested) bool { return r.grade == g })
	}
	line("all", "all", func(r *rested) bool { return true })
	hidden := count(func(r *rested) bool { return r.mode != "" }, func(r *rested) bool { return !r.shown })
	fmt.Fprintf(w, "%d of %d faults show at idle in no logged signal and are not counted\n", hidden.K, hidden.N)
}
