package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/num/xrand"
	"traplight/internal/plan"
)

// same tells whether the kept notes are those of the settings run: folders outlive changes of
// the bench.
func (b *bench) same() error {
	n, err := car.LoadNotes(b.notes)
	if err != nil {
		return err
	}
	over := 0.0
	if b.absolute {
		over = standardBarometer - b.air.Pressure
	}
	for _, p := range n.Passes {
		for g, t := range p.BoostTarget {
			if g < len(b.set.Boost) && math.Abs(t-b.set.Boost[g]-over) > 1.5e3 {
				return fmt.Errorf("%s: the kept passes were run with other settings; delete the folder", b.dir)
			}
		}
	}
	return nil
}

// follow runs the passes that follow plans: each is run and logged with the settings of the
// plan before, a new plan is made of all passes so far and judged. The plan steps on from
// what it has seen.
func (b *bench) follow(ctx context.Context, r *result, a *plan.Answer) error {
	for k := 1; k <= b.then && a.Card && ctx.Err() == nil; k++ {
		s := b.planned(a)
		if err := b.log(s, k); err != nil {
			return err
		}
		p, err := b.plan(ctx)
		if err != nil {
			return err
		}
		a = p.Answer()
		if !a.Card {
			break
		}
		trap, outs := b.run(b.planned(a), b.seeds)
		over := 0
		for _, o := range outs {
			if len(o.Exceeded) > 0 {
				over++
			}
		}
		r.later = append(r.later, later{trap, over, hardStated(a)})
		r.what += fmt.Sprintf("\n   after %d more: %+.2f, hard passed %d; boost %.0f", k, trap-r.base, over, a.Settings.Boost)
	}
	return ctx.Err()
}

// later is a plan after passes that followed plans.
type later struct {
	trap float64 // m/s, mean
	over int     // of the judging passes over a hard limit
	hard float64 // 0–1, stated of any hard limit
}

// hardStated is the chance stated of any hard limit that the generator judges.
func hardStated(a *plan.Answer) (sum float64) {
	for _, l := range a.Limits {
		if l.Class == plan.Hard && l.Limit != bite {
			sum += l.Chance
		}
	}
	return min(1, sum)
}

// log appends pass k after plans, run with s, to sheet, notes and logs of its own folder.
func (b *bench) log(s demo.Settings, k int) error {
	dir := filepath.Join(b.dir, "then")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	o := b.options(s)
	o.ID, o.When, o.NoTruth = fmt.Sprintf("%s-%d", b.car.ID, passesBefore+k), fmt.Sprintf("2033-06-11 1%d:20", passesBefore+k-1), true
	rec := demo.Generate(b.car, o, xrand.Sub(b.seed, o.ID))
	path := filepath.Join(dir, rec.Name+".csv")
	if err := os.WriteFile(path, rec.CSV, 0o644); err != nil {
		return err
	}
	text, err := os.ReadFile(b.notes)
	if err != nil {
		return err
	}
	text = slices.Concat(text, rec.NoteTOML, []byte(inspected))
	b.notes = filepath.Join(dir, "passes.toml")
	b.logs = append(b.logs, path)
	return os.WriteFile(b.notes, text, 0o644)
}
