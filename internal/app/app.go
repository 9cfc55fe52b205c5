// Package app is what commands and pages ask for: it opens files, calls the
// rooms below and hands back one answer. It prints nothing and has no opinion
// on screens.
package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/forecast"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
	"traplight/internal/report"
	"traplight/internal/setup"
)

// ErrNoPass says that the logs were read and hold no pass. It comes with a
// report all the same.
var ErrNoPass = errors.New(report.NoPass)

// ReportRequest asks for the report of one or several logs.
type ReportRequest struct {
	Logs    []string // paths
	Cars    []string // paths of car sheets; the latest that is valid at the log's start applies
	Notes   string   // path of a notes file; "" none
	History []string // paths of earlier logs of the same car
	Shop    []string // paths of logs of the shop's other cars, whose sheets are among Cars
	// CarOf says by the path of a log whose it is, where that is known besides the notes.
	CarOf   map[string]string
	Without []string // parts to leave out: "ledger"
	Units   string   // of the findings' sentences: "us", "metric", "si"; else those of the sheet
	// Picks says for each log which of its passes is wanted, from 0; -1 means all, as nil
	// does for all logs.
	Picks []int
	// Said are the forecasts that were written down and their scores, for the track record.
	Said []forecast.Record
	// Progress is called before each log, from 0; nil is allowed.
	Progress func(log string, done, of int)
	lenient  bool // a log that cannot be read is told and left out
	// past gives the history where it has been analysed before; nil reads History.
	past func(context.Context, ReportRequest) (*Analysis, error)
}

// Report reads the logs and gives the one answer. With ErrNoPass the report is
// there too.
func Report(ctx context.Context, q ReportRequest) (*report.Report, error) {
	r, _, err := ReportAndSources(ctx, q)
	return r, err
}

// ReportAndSources is Report that hands out what the report was assembled from
// too, for doors that draw.
func ReportAndSources(ctx context.Context, q ReportRequest) (*report.Report, []report.Source, error) {
	a, past, notes, err := passesOf(ctx, q)
	if err != nil {
		return nil, nil, err
	}
	if q.Progress != nil {
		q.Progress("where the speed went", 0, 1)
	}
	shop, err := shopOf(ctx, q, notes, a.cars())
	if err != nil {
		return nil, nil, err
	}
	if err := chapters(ctx, q, notes, past, a, shop); err != nil {
		return nil, nil, err
	}
	a.tellPast()
	pick(a.Sources, q.Picks)
	r := report.Assemble(a.Sources, a.First, report.Options{Without: q.Without})
	tellForetold(r, q.Said)
	if len(r.Passes) == 0 {
		return r, a.Sources, fmt.Errorf("%s: %w", strings.Join(a.names(), ", "), ErrNoPass)
	}
	return r, a.Sources, nil
}

// passesOf reconstructs the passes of the logs with what the history teaches, and gives the
// history, nil without one, with what does not belong there left out.
func passesOf(ctx context.Context, q ReportRequest) (now, past *Analysis, notes *car.Notes, err error) {
	if past, err = history(ctx, q); err != nil {
		return nil, nil, nil, err
	}
	if now, notes, err = read(ctx, q); err != nil {
		return nil, nil, nil, err
	}
	return now, past, notes, now.learn(ctx, notes, past)
}

// Analysis is what was read and found, before it is put into words.
type Analysis struct {
	Sources []report.Source
	First   []string                  // notes that stand before all others
	told    []string                  // of a history: its own trouble, and what of it is left out
	joined  map[*logfile.Log][]string // what was said when another recorder's log was merged in
	lenient bool                      // what cannot be worked out is told and left out
}

func (a *Analysis) names() []string {
	var out []string
	for _, s := range a.Sources {
		out = append(out, s.Log.File)
	}
	return out
}

// Analyse reads logs, sheets and notes and reconstructs every pass.
func Analyse(ctx context.Context, q ReportRequest) (*Analysis, error) {
	a, notes, err := read(ctx, q)
	if err != nil {
		return nil, err
	}
	return a, a.reconstruct(ctx, notes, func(*report.Source) reconstruct.Knowledge { return reconstruct.Knowledge{} })
}

// read reads sheets, notes and logs and tells what the channels are.
func read(ctx context.Context, q ReportRequest) (*Analysis, *car.Notes, error) {
	if len(q.Logs) == 0 {
		return nil, nil, errors.New("no log given")
	}
	a := &Analysis{lenient: q.lenient, joined: map[*logfile.Log][]string{}}
	var sheets []*car.Sheet
	var err error
	if len(q.Cars) == 0 {
		// in the pits a missing sheet stops nothing: motion needs none
		sheets = []*car.Sheet{unknownCar()}
		a.First = append(a.First, "no car sheet given: defaults with wide spreads stand for it, and gears and torque need one (--car names it, `traplight car` prints one to fill in)")
	} else if sheets, err = loadSheets(q.Cars); err != nil {
		return nil, nil, err
	}
	var notes *car.Notes
	if q.Notes != "" {
		if notes, err = LoadNotes(q.Notes); err != nil {
			return nil, nil, err
		}
		a.First = append(a.First, notes.Notes...)
		a.First = append(a.First, notes.FitAll(sheets)...)
	}
	for i, path := range q.Logs {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if q.Progress != nil {
			q.Progress(filepath.Base(path), i, len(q.Logs))
		}
		s, err := readLog(ctx, path, ofCar(sheets, q.CarOf[path]), notes)
		if err != nil && q.lenient && ctx.Err() == nil && !errors.Is(err, fs.ErrNotExist) {
			a.told = append(a.told, fmt.Sprintf("left out of the history: %v", err))
			continue
		}
		if err != nil {
			return nil, nil, err
		}
		a.Sources = append(a.Sources, s)
	}
	a.mergeRecorders()
	return a, notes, nil
}

// reconstruct finds the passes of every source with what is known of its car.
func (a *Analysis) reconstruct(ctx context.Context, notes *car.Notes, known func(*report.Source) reconstruct.Knowledge) error {
	kept := a.Sources[:0]
	for _, s := range a.Sources {
		if err := ctx.Err(); err != nil {
			return err
		}
		out, err := analyseSet(s.Log, s.Set, s.Sheet, notes, known(&s))
		if err != nil && a.lenient {
			a.told = append(a.told, fmt.Sprintf("left out of the history: %v", err))
			continue
		}
		if err != nil {
			return err
		}
		out.Notes = append(slices.Clone(a.joined[s.Log]), out.Notes...)
		kept = append(kept, out)
	}
	a.Sources = kept
	return nil
}

// AnalyseLog tells the channels of a log that is already read and reconstructs
// its passes. notes may be nil.
func AnalyseLog(log *logfile.Log, sheet *car.Sheet, notes *car.Notes) (report.Source, error) {
	return analyseLog(log, sheet, notes, reconstruct.Knowledge{})
}

// AnalyseAfter is AnalyseLog with what the car's other passes taught.
func AnalyseAfter(log *logfile.Log, sheet *car.Sheet, notes *car.Notes, past []report.Source) (report.Source, error) {
	return analyseLog(log, sheet, notes, reconstruct.Learn((&Analysis{Sources: past}).passes()))
}

func analyseLog(log *logfile.Log, sheet *car.Sheet, notes *car.Notes, known reconstruct.Knowledge) (report.Source, error) {
	set, err := identify(log, sheet, notes)
	if err != nil {
		return report.Source{Log: log, Sheet: sheet}, err
	}
	return analyseSet(log, set, sheet, notes, known)
}

// AnalyseSet reconstructs the passes of a log whose channels are known.
func AnalyseSet(log *logfile.Log, set *dictionary.Set, sheet *car.Sheet, notes *car.Notes) (report.Source, error) {
	return analyseSet(log, set, sheet, notes, reconstruct.Knowledge{})
}

func analyseSet(log *logfile.Log, set *dictionary.Set, sheet *car.Sheet, notes *car.Notes, known reconstruct.Knowledge) (report.Source, error) {
	s := report.Source{Log: log, Set: set, Sheet: sheet}
	r, err := reconstruct.Passes(set, sheet, notes, reconstruct.Options{File: log.File, Known: known})
	if err != nil {
		return s, fmt.Errorf("%s: %w", log.File, err)
	}
	s.Passes, s.Notes = r.Passes, append(otherCar(sheet, r.Passes), r.Notes...)
	s.Late = r.Late
	for _, p := range s.Passes {
		s.Setup = append(s.Setup, setup.Of(p, set, sheet, notes.For(log.File, p.Index)))
	}
	return s, nil
}

// OpenLog reads a log file in any of the formats that are known.
func OpenLog(path string) (*logfile.Log, error) { return logfile.Open(path) }
