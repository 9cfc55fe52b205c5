package app

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/health"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// HealthRequest asks whether a car is fit to go again.
type HealthRequest struct {
	Logs     []string          // paths
	Cars     []string          // paths of car sheets
	Notes    string            // path of a notes file; "" none
	History  []string          // paths of earlier logs of the same car
	Shop     []string          // paths of logs of the shop's other cars, whose sheets are among Cars
	Provoked []string          // paths of runs on which knock was provoked on purpose
	Units    string            // "us", "metric", "si"; else those of the sheet
	CarOf    map[string]string // as in ReportRequest
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
	Bore       string // where the bore is from; "" without modes
	Notes      []string
}

// Health reads the logs and judges each pass against the history.
func Health(ctx context.Context, q HealthRequest) (*HealthAnswer, error) {
	an, past, notes, err := passesOf(ctx, ReportRequest{Logs: q.Logs, Cars: q.Cars, Notes: q.Notes, History: q.History, CarOf: q.CarOf, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	now, sheet := recordsOf(an, notes), sheetOf(an)
	if len(now) == 0 {
		return nil, fmt.Errorf("%s: %w", filepath.Base(q.Logs[0]), ErrNoPass)
	}
	if len(an.cars()) > 1 {
		return nil, fmt.Errorf("these are logs of %s; give those of one car", strings.Join(an.cars(), " and "))
	}
	var doubts []string
	for _, s := range an.Sources {
		for _, n := range s.Notes {
			if strings.Contains(n, report.OtherCar) {
				doubts = append(doubts, s.Log.File+", "+n)
			}
		}
	}
	a := &HealthAnswer{Car: sheet.Name, World: report.World(q.Units, sheet.Units), Notes: slices.Concat(doubts, an.First, an.told)}
	var clear []health.Summary
	if past != nil {
		var odd []string
		clear, odd = health.Sift(recordsOf(past, notes), sheet)
		a.Notes = append(a.Notes, odd...)
	}
	shop, err := shopOf(ctx, ReportRequest{Shop: q.Shop, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress}, notes, []string{sheet.Name})
	if err != nil {
		return nil, err
	}
	all := append([]health.Summary(nil), clear...)
	for _, r := range now {
		j, alone := judgeBeside(r, clear, sheet, a.World, shop)
		a.Notes = append(a.Notes, besideSaid(r.Name, j.Result.Verdict, alone)...)
		a.Passes = append(a.Passes, j)
		if j.Result.Verdict == health.Clear {
			all = append(all, health.Summarise(r, sheet)) // an odd pass is a finding, not a trend
		}
	}
	a.Protection = health.Protection(all) // as the card for the next pass has them
	a.Trends = health.Trends(all, health.Specs(now[len(now)-1], sheet))
	a.Knock = health.KnockBackgrounds(clear)
	marked := provoked(slices.Clone(now))
	if past != nil {
		marked = append(provoked(recordsOf(past, notes)), marked...)
	}
	if len(q.Provoked) > 0 {
		runs, err := Analyse(ctx, ReportRequest{Logs: q.Provoked, Cars: q.Cars, Notes: q.Notes, Progress: q.Progress})
		if err != nil {
			return nil, err
		}
		marked = append(marked, recordsOf(runs, notes)...)
	}
	for _, r := range marked {
		a.Provoked = append(a.Provoked, health.ProvokedLevels(health.Summarise(r, sheet), a.Knock)...)
	}
	if now[len(now)-1].Set.First(quantity.Knock) != nil {
		a.Modes, a.Bore = health.ModesOf(sheet)
	}
	return a, nil
}

// provoked are the runs whose note says that knock was provoked in them.
func provoked(rs []health.Record) []health.Record {
	return slices.DeleteFunc(rs, func(r health.Record) bool { return r.Note == nil || !r.Note.Provoked })
}

// sheetOf is the sheet of the last log that has one; an empty one else.
func sheetOf(a *Analysis) *car.Sheet {
	for _, s := range slices.Backward(a.Sources) {
		if s.Sheet != nil {
			return s.Sheet
		}
	}
	return &car.Sheet{}
}
