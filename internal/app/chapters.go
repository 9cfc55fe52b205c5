package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/health"
	"traplight/internal/ledger"
	"traplight/internal/pass"
	"traplight/internal/report"
)

// history reads the car's earlier logs; nil without any.
func history(ctx context.Context, q ReportRequest) (*Analysis, error) {
	if len(q.History) == 0 {
		return nil, nil
	}
	if q.past != nil {
		return q.past(ctx, q)
	}
	return Analyse(ctx, ReportRequest{Logs: q.History, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress, lenient: true})
}

// passes lists every pass of an analysis; it may be nil.
func (a *Analysis) passes() []*pass.Pass {
	if a == nil {
		return nil
	}
	var out []*pass.Pass
	for _, s := range a.Sources {
		out = append(out, s.Passes...)
	}
	return out
}

// chapters judges every pass's health against the history and accounts for its speed.
// past may be nil: then physics and the passes themselves serve. notes may be nil.
func chapters(ctx context.Context, q ReportRequest, notes *car.Notes, past, now *Analysis, shop *health.Shop) error {
	judge(past, now, notes, shop, q.Units)
	if slices.Contains(q.Without, "ledger") {
		return nil
	}
	return account(ctx, past, now, notes)
}

// judge fills the sources' health, each against the passes of its own car and beside the
// shop's other cars, where shop is not nil. units are those of the findings' sentences, as in
// ReportRequest.
func judge(past, now *Analysis, notes *car.Notes, shop *health.Shop, units string) {
	baselines := map[string][]health.Summary{}
	for i := range now.Sources {
		s := &now.Sources[i]
		sheet := s.Sheet
		if sheet == nil {
			sheet = &car.Sheet{}
		}
		clear, known := baselines[sheet.Name]
		if own := past.of(sheet.Name); !known && own != nil {
			var told []string
			clear, told = health.Sift(recordsOf(own, notes), sheet)
			now.told = append(now.told, told...)
			baselines[sheet.Name] = clear
		}
		one := &Analysis{Sources: []report.Source{*s}}
		world := report.World(units, sheet.Units)
		for _, r := range recordsOf(one, notes) {
			j, alone := judgeBeside(r, clear, sheet, world, shop)
			now.told = append(now.told, besideSaid(r.Name, j.Result.Verdict, alone)...)
			h := healthOf(&j.Result)
			if j.Result.Verdict == health.Clear && len(clear) > 0 {
				all := append(slices.Clone(clear), health.Summarise(r, sheet))
				h.Trends = coursesSaid(health.Trends(all, health.Specs(r, sheet)), world)
			}
			s.Health = append(s.Health, h)
		}
	}
}

// recordsOf lists the passes of an analysis as the health screen takes them.
func recordsOf(a *Analysis, notes *car.Notes) []health.Record {
	var out []health.Record
	for _, s := range a.Sources {
		for i, p := range s.Passes {
			r := health.Record{Name: fmt.Sprintf("%s pass %d", s.Log.File, i+1), Set: s.Set, Pass: p, Sheet: s.Sheet, Clear: true}
			if notes != nil {
				r.Note = notes.For(s.Log.File, i)
			}
			if n := r.Note; n != nil {
				r.Clear = !n.Provoked && (n.Good == nil || *n.Good)
			}
			out = append(out, r)
		}
	}
	return out
}

// healthOf puts a screen's result into the report's form.
func healthOf(r *health.Result) *report.Health {
	h := &report.Health{Basis: r.Basis, NotJudged: append([]string{}, r.NotJudged...), Findings: []report.Finding{}}
	if r.Verdict != "" {
		v := string(r.Verdict)
		h.Verdict = &v
	}
	for _, f := range r.Findings {
		start, chance := f.Start, f.Chance
		h.Findings = append(h.Findings, report.Finding{Kind: string(f.Kind), Severity: string(f.Severity), StartS: &start,
			Channels: append([]string{}, f.Channels...), Evidence: f.Evidence, LookAt: append([]string{}, f.LookAt...), Chance: &chance, OfSheet: f.OfSheet, Others: kindNames(f.Others), Plots: plotsOf(f.Plots)})
	}
	return h
}

func kindNames(ks []health.Kind) []string {
	var out []string
	for _, k := range ks {
		out = append(out, string(k))
	}
	return out
}

// plotsOf thins plots to what an eye can follow.
func plotsOf(ps []health.Plot) []report.Plot {
	const every = 3 // of the screen's cells of 0.02 s
	thin := func(x []float64) []float64 {
		var out []float64
		for i := 0; i < len(x); i += every {
			out = append(out, shortened(x[i]))
		}
		return out
	}
	var out []report.Plot
	for _, p := range ps {
		out = append(out, report.Plot{Title: p.Title, Unit: p.Unit, TimeS: thin(p.Time), Reading: thin(p.Reading), Expected: thin(p.Expected), Low: thin(p.Low), High: thin(p.High)})
	}
	return out
}

// shortened leaves a number the digits that a picture shows.
func shortened(x float64) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 7, 64), 64)
	if err != nil {
		return x
	}
	return v
}

// account fits each car to all its passes and fills the sources' ledgers. A pass that
// cannot be accounted for says why in its notes.
func account(ctx context.Context, past, now *Analysis, notes *car.Notes) error {
	for _, name := range now.cars() {
		var own []*report.Source
		for i := range now.Sources {
			if s := &now.Sources[i]; s.Sheet.Name == name {
				own = append(own, s)
			}
		}
		why, err := accountCar(ctx, past.of(name), own, notes)
		if err != nil {
			return err
		}
		if why != "" && len(now.cars()) > 1 {
			why = name + ": " + why
		}
		if why != "" {
			now.First = append(now.First, why)
		}
	}
	return nil
}

// accountCar is account for the logs of one car; why says what stands against all ledgers.
func accountCar(ctx context.Context, past *Analysis, own []*report.Source, notes *car.Notes) (why string, err error) {
	f := &Fitted{Notes: notes}
	if notes == nil {
		f.Notes = &car.Notes{}
	}
	all, passes := &Analysis{}, 0
	if past != nil {
		all.Sources = append(all.Sources, past.Sources...)
	}
	for _, s := range own {
		all.Sources = append(all.Sources, *s)
		passes += len(s.Passes)
	}
	if passes == 0 {
		return "", nil
	}
	obs := f.observe(all)
	m, err := fitcar.Fit(ctx, own[len(own)-1].Sheet, obs, fitcar.Options{})
	if err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		if !errors.Is(err, fitcar.ErrNothing) {
			return fmt.Sprintf("no ledger of lost speed: %v", err), nil
		}
		return "", nil
	}
	for _, s := range own {
		s.Ledger = make([][]report.Ledger, len(s.Passes))
		for k, p := range s.Passes {
			at := slices.IndexFunc(obs, func(o *fitcar.Observation) bool { return o.File == s.Log.File && o.Index == p.Index })
			if at < 0 {
				continue
			}
			lines, err := ledger.Of(ctx, m, at)
			if ctx.Err() != nil {
				return "", ctx.Err()
			}
			if err != nil {
				p.Notes = append(p.Notes, fmt.Sprintf("no ledger of lost speed: %v", err))
				continue
			}
			s.Ledger[k] = ledgerOf(lines)
			p.Notes = append(p.Notes, ledger.Doubts(m, at)...)
		}
	}
	return "", nil
}

// ledgerOf puts the account's lines into the report's form.
func ledgerOf(lines []ledger.Line) []report.Ledger {
	out := []report.Ledger{}
	for _, l := range lines {
		speed, sd, alone, aloneSD := l.Speed, l.SD, l.Alone, l.AloneSD
		out = append(out, report.Ledger{Cause: l.Cause, Group: l.Group, SpeedMps: &speed, SDMps: &sd, AloneMps: &alone, AloneSD: &aloneSD})
	}
	return out
}
