package app

import (
	"context"
	"fmt"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/plan"
	"traplight/internal/report"
)

// PlanRequest asks for the settings of the next pass.
type PlanRequest struct {
	ForecastRequest
	Risk float64 // 0–1, accepted chance of passing a soft limit; 0 means the usual one
	Bold bool    // beyond what was run, up to the sheet's limits
}

// Planned is a plan with what it was made from.
type Planned struct {
	Plan *plan.Plan
	Next *forecast.Next
	*Fitted
	Verdict string // of the last pass; "" none
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
	if err := f.fit(ctx, q.ForecastRequest, f.observe(a), 0); err != nil {
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
	opt := plan.Options{Risk: q.Risk, Bold: q.Bold, Seed: q.Seed}
	last := f.Model.Passes[len(f.Model.Passes)-1].Obs
	note := f.Notes.For(last.File, last.Index)
	if note != nil {
		opt.Inspected = note.Inspected
		if e := f.Notes.EventFor(note); e != nil {
			opt.PassesLeft = e.PassesLeft
		}
	}
	opt.Verdict = verdictOn(a, f.Notes, last.File, last.Index)
	if q.Progress != nil {
		opt.Progress = func(done, of int) { q.Progress("trying settings", done, of) }
	}
	p, err := plan.Make(ctx, f.Model, n, opt)
	if err != nil {
		return nil, err
	}
	return &Planned{p, n, f, opt.Verdict}, nil
}

// planned finds the planned entry; nil when none is asked for.
func (f *Fitted) planned(id string) (*car.Planned, error) {
	if id == "" {
		return nil, nil
	}
	p := f.Notes.PlannedByID(id)
	if p == nil {
		return nil, fmt.Errorf("no planned pass %q in the notes%s", id, ids(f.Notes))
	}
	return p, nil
}

// verdictOn is the health screen's word on one pass of an analysis, judged against
// the others; "" when there is none.
func verdictOn(a *Analysis, notes *car.Notes, file string, index int) string {
	past, now := &Analysis{}, &Analysis{}
	for _, s := range a.Sources {
		if s.Log.File == file {
			now.Sources = append(now.Sources, s)
		} else {
			past.Sources = append(past.Sources, s)
		}
	}
	if len(now.Sources) == 0 {
		return ""
	}
	if len(past.Sources) == 0 {
		past = nil
	}
	judge(past, now, notes)
	return verdictOf(now.Sources[0], index)
}

func verdictOf(s report.Source, index int) string {
	if index < len(s.Health) && s.Health[index] != nil && s.Health[index].Verdict != nil {
		return *s.Health[index].Verdict
	}
	return ""
}
