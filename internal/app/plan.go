package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/card"
	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/plan"
	"traplight/internal/report"
)

// PlanRequest asks for the settings of the next pass.
type PlanRequest struct {
	ForecastRequest
	Risk float64 // 0–1, accepted chance of passing a soft limit; 0 means the usual one
	Bold bool    // beyond what was run, up to the sheet's limits
	// ForTarget asks for the best chance of the target instead of the highest speed.
	ForTarget bool
	Search    int // passes behind each set of settings that is tried; 0 means the usual number
	// Inspected is what was inspected and found after a pass, beside what the notes say.
	Inspected map[RunKey]string
	// Shop are logs of the shop's other cars, beside which the last pass is judged; ShopCars
	// are their sheets, and ShopOf says by its path whose each log is.
	Shop, ShopCars []string
	ShopOf         map[string]string
}

// RunKey names one pass of a log: the log's SHA-256 and the pass's number, from 0.
type RunKey struct {
	SHA256 string
	Number int
}

// Planned is a plan with what it was made from.
type Planned struct {
	Plan *plan.Plan
	Next *forecast.Next
	*Fitted
	Verdict string // of the last pass; "" none
	// Inspected is what was inspected and found since; "" nothing.
	Inspected string
	Bold      bool   // beyond one step
	After     string // the last pass, as its notes or its file call it
}

// PassCard is the one page for the next pass; it refuses where the plan does.
func (p *Planned) PassCard(units, made string) (*card.Card, error) {
	w := report.World(units, p.Sheet.Units)
	a := p.Plan.Answer()
	a.New = p.Plan.NotRun(w)
	return card.New(card.Input{Plan: a, Sheet: p.Sheet, Protection: p.Protection, World: w, Made: made, After: p.After, Verdict: p.Verdict, Inspected: p.Inspected, Bold: p.Bold})
}

// Plan chooses the settings of the next pass.
func Plan(ctx context.Context, q PlanRequest) (*Planned, error) {
	if len(q.History) == 0 {
		return nil, ErrHistory
	}
	f, err := open(q.ForecastRequest, "")
	if err != nil {
		return nil, err
	}
	a, err := Analyse(ctx, ReportRequest{Logs: q.History, Cars: q.Cars, Notes: q.Notes, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	if q.Progress != nil {
		q.Progress("fitting the car", 0, 1)
	}
	if err := f.fit(ctx, q.ForecastRequest, f.observe(a), q.Members); err != nil {
		return nil, err
	}
	planned, err := f.planned(q.Next)
	if err != nil {
		return nil, err
	}
	n, err := forecast.Prepare(f.Model, f.Notes, planned)
	if err != nil {
		return nil, err
	}
	opt := plan.Options{Risk: q.Risk, Bold: q.Bold, Seed: q.Seed, ForTarget: q.ForTarget, Draws: q.Search, Map: f.Map, NoMap: f.NoMap}
	if q.ForTarget && n.Aim <= 0 {
		return nil, ErrNoTarget
	}
	// The last run decides, also one from which the model learns nothing.
	ran := ranPasses(a, f.Notes)
	last := ran[len(ran)-1]
	note := f.Notes.For(last.file, last.index)
	opt.Inspected = q.Inspected[RunKey{last.sum, last.index}]
	if note != nil {
		if note.Inspected != "" {
			opt.Inspected = note.Inspected
		}
		f.stripOf(n, note)
		if e := f.Notes.EventFor(note); e != nil {
			opt.PassesLeft = e.PassesLeft
		}
	}
	opt.StoppedFrom = f.stoppedFrom(planned)
	shop, err := shopOf(ctx, ReportRequest{Shop: q.Shop, Cars: slices.Concat(q.Cars, q.ShopCars), Notes: q.Notes, CarOf: q.ShopOf, Progress: q.Progress}, f.Notes, a.cars())
	if err != nil {
		return nil, err
	}
	opt.Verdict, opt.Findings = healthOn(a, f.Notes, last.file, last.index, shop)
	if q.Progress != nil {
		opt.Progress = func(done, of int) { q.Progress("trying settings", done, of) }
	}
	p, err := plan.Make(ctx, f.Model, n, opt)
	if err != nil {
		return nil, err
	}
	p.Notes = slices.Concat(f.misfit, p.Notes)
	out := &Planned{Plan: p, Next: n, Fitted: f, Verdict: opt.Verdict, Inspected: opt.Inspected, Bold: opt.Bold, After: last.file}
	if note != nil && note.ID != "" {
		out.After = note.ID
	}
	f.protect(a)
	return out, nil
}

// stoppedFrom is the highest trap speed, m/s, of passes on the strip of the planned one
// (nil: of the last pass): the car was stopped there. 0 when the strip is not known.
func (f *Fitted) stoppedFrom(planned *car.Planned) float64 {
	last := f.Model.Passes[len(f.Model.Passes)-1].Obs
	strip := f.Notes.StripFor(f.Notes.For(last.File, last.Index))
	if planned != nil {
		strip = f.Notes.StripForPlan(planned)
	}
	v := 0.0
	for _, p := range f.Model.Passes {
		s := f.Notes.StripFor(f.Notes.For(p.Obs.File, p.Obs.Index))
		if s.ID != "" && s.ID == strip.ID && !math.IsNaN(p.Obs.Trap) {
			v = max(v, p.Obs.Trap)
		}
	}
	return v
}

// ErrNoTarget says that there is no speed to aim at.
var ErrNoTarget = errors.New("no target speed is known: state trap_mph or trap_kmh under [target] in the car sheet")

// planned finds the planned entry; nil when none is asked for.
func (f *Fitted) planned(id string) (*car.Planned, error) {
	if id == "" {
		return nil, nil
	}
	p := f.Notes.PlannedByID(id)
	if p == nil {
		return nil, fmt.Errorf("no planned pass %q in the notes%s", id, ids(f.Notes))
	}
	if other := f.Notes.OtherCar(p, f.Sheet); other != "" && !f.ran(other) {
		return nil, fmt.Errorf("planned pass %q follows a pass of %s, and the history is of %s: with the store, --car %s takes its passes", id, other, f.Sheet.Name, other)
	}
	return p, nil
}

// ran tells whether the notes call the car of the history so, whatever its sheet does.
func (f *Fitted) ran(name string) bool {
	for _, p := range f.Model.Passes {
		if n := f.Notes.For(p.Obs.File, p.Obs.Index); n != nil && strings.EqualFold(n.Car, name) {
			return true
		}
	}
	return false
}

// healthOn is the health screen's word on one pass of an analysis, judged against the
// others and beside the shop's other cars, where shop is not nil, and the kinds of its
// findings that are more than subtle; "" when there is none.
func healthOn(a *Analysis, notes *car.Notes, file string, index int, shop *health.Shop) (verdict string, kinds []string) {
	past, now := &Analysis{}, &Analysis{}
	for _, s := range a.Sources {
		if s.Log.File == file {
			now.Sources = append(now.Sources, s)
		} else {
			past.Sources = append(past.Sources, s)
		}
	}
	if len(now.Sources) == 0 {
		return "", nil
	}
	if len(past.Sources) == 0 {
		past = nil
	}
	judge(past, now, notes, shop, "")
	src := now.Sources[0]
	if index < len(src.Health) {
		kinds = Findings(src.Health[index])
	}
	return verdictOf(src, index), kinds
}

// Findings are the kinds of a health screen's findings that are more than subtle; h may
// be nil.
func Findings(h *report.Health) (kinds []string) {
	if h == nil {
		return nil
	}
	for _, f := range h.Findings {
		if f.Severity != string(health.Subtle) {
			kinds = append(kinds, f.Kind)
		}
	}
	return kinds
}

func verdictOf(s report.Source, index int) string {
	if index < len(s.Health) {
		return s.Health[index].Word()
	}
	return ""
}
