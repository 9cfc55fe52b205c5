package app

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"traplight/internal/car"
	"traplight/internal/health"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// HealthRequest asks whether a car is fit to go again.
type HealthRequest struct {
	Logs     []string // paths
	Cars     []string // paths of car sheets
	Notes    string   // path of a notes file; "" none
	History  []string // paths of earlier logs of the same car
	Provoked []string // paths of runs on which knock was provoked on purpose
	Units    string   // "us", "metric", "si"; else those of the sheet
	Progress func(log string, done, of int)
}

// HealthAnswer is the health of every pass asked for, and what the history
// gives besides.
type HealthAnswer struct {
	Car        string
	World      quantity.World
	Passes     []health.Judged
	Protection []health.Threshold
	Trends     []health.Trend
	Knock      []health.KnockBackground
	Provoked   []health.Provoked
	Modes      []health.Mode
	Notes      []string
}

// Health reads the logs and judges each pass against the history.
func Health(ctx context.Context, q HealthRequest) (*HealthAnswer, error) {
	past, sheet, err := records(ctx, q, q.History)
	if err != nil && len(q.History) > 0 {
		return nil, err
	}
	now, sheetNow, err := records(ctx, q, q.Logs)
	if err != nil {
		return nil, err
	}
	if sheetNow != nil {
		sheet = sheetNow
	}
	if len(now) == 0 {
		return nil, fmt.Errorf("%s: %w", filepath.Base(q.Logs[0]), ErrNoPass)
	}
	a := &HealthAnswer{Car: sheet.Name, World: report.World(q.Units, sheet.Units)}
	clear, notes := health.Sift(past, sheet)
	a.Notes = notes
	all := append([]health.Summary(nil), clear...)
	for _, r := range now {
		j := health.Judge(r, clear, sheet, health.Options{Units: a.World})
		a.Passes = append(a.Passes, j)
		if j.Result.Verdict == health.Clear {
			all = append(all, health.Summarise(r, sheet)) // an odd pass is a finding, not a trend
		}
	}
	a.Protection = health.Protection(clear)
	a.Trends = health.Trends(all, health.Specs(now[len(now)-1], sheet))
	a.Knock = health.KnockBackgrounds(clear)
	if len(q.Provoked) > 0 {
		runs, _, err := records(ctx, q, q.Provoked)
		if err != nil {
			return nil, err
		}
		for _, r := range runs {
			a.Provoked = append(a.Provoked, health.ProvokedLevels(health.Summarise(r, sheet), a.Knock)...)
		}
	}
	if len(a.Knock) > 0 && sheet.Displacement > 0 && sheet.Cylinders > 0 {
		a.Modes = health.Modes(health.SquareBore(sheet.Displacement, sheet.Cylinders), health.SoundSpeed(2300), 3)
	}
	return a, nil
}

// records reads logs into what the screen takes.
func records(ctx context.Context, q HealthRequest, logs []string) ([]health.Record, *car.Sheet, error) {
	if len(logs) == 0 {
		return nil, nil, errors.New("no log given")
	}
	an, err := Analyse(ctx, ReportRequest{Logs: logs, Cars: q.Cars, Notes: q.Notes, Progress: q.Progress})
	if err != nil {
		return nil, nil, err
	}
	var notes *car.Notes
	if q.Notes != "" {
		if notes, err = car.LoadNotes(q.Notes); err != nil {
			return nil, nil, err
		}
	}
	var out []health.Record
	var sheet *car.Sheet
	for _, s := range an.Sources {
		if s.Sheet != nil {
			sheet = s.Sheet
		}
		for i, p := range s.Passes {
			r := health.Record{Name: fmt.Sprintf("%s pass %d", s.Log.File, i+1), Set: s.Set, Pass: p, Clear: true}
			if notes != nil {
				r.Note = notes.For(s.Log.File, i)
			}
			out = append(out, r)
		}
	}
	if sheet == nil {
		sheet = &car.Sheet{}
	}
	return out, sheet, nil
}
