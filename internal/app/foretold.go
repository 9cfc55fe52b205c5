package app

import (
	"fmt"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/report"
)

// tellForetold puts what was forecast of the report's passes, and how the forecasts of
// their cars have come out so far, into it.
func tellForetold(r *report.Report, records []forecast.Record) {
	if len(records) == 0 {
		return
	}
	told := map[string]bool{}
	for i := range r.Passes {
		p := &r.Passes[i]
		p.Foretold = foretold(records, fmt.Sprintf("%s#%d", p.File, p.Index))
		if key := strings.ToLower(p.Car); !told[key] {
			told[key] = true
			if t, ok := trackOf(records, p.Car); ok {
				r.Tracks = append(r.Tracks, t)
			}
		}
	}
}

// foretold is what was forecast of a pass, named by file and number; nil when no
// forecast was scored against it. Of several the last counts.
func foretold(records []forecast.Record, pass string) *report.Foretold {
	said := map[string]*forecast.Record{}
	var out *report.Foretold
	for i := range records {
		r := &records[i]
		if r.Forecast != nil {
			said[r.Hash] = r
		}
		if r.Scored == nil || r.Scored.Pass != pass || said[r.Scored.Forecast] == nil {
			continue
		}
		f := said[r.Scored.Forecast]
		t := f.Forecast.Trap
		out = &report.Foretold{RecordedAt: f.At, MeanMps: t.Mean, SDMps: t.SD, P05Mps: t.P05, P95Mps: t.P95, Expected: scoreOf(r.Scored.Expected)}
		if a := r.Scored.AsRun; a != nil {
			s := scoreOf(*a)
			out.AsRun = &s
		}
	}
	return out
}

func scoreOf(s forecast.Score) report.Score {
	return report.Score{ErrorMps: s.Error, Inside: s.Inside, CRPSMps: s.CRPS, PIT: s.PIT}
}

// trackOf is a car's track record; ok is false when nothing was scored.
func trackOf(records []forecast.Record, car string) (t report.Track, ok bool) {
	e, a := forecast.TrackOf(records, car)
	basis := "as expected"
	from := TrackRecord{e, a}
	if a.Count > 0 {
		basis = "as run"
	}
	f := from.counts()
	return report.Track{Car: car, Basis: basis, Count: f.Count, MeanErrorMps: f.MeanError, MedianAbsMps: f.MedianAbs, Coverage: f.Coverage,
		CRPSMps: f.CRPS, Levels: forecast.TrackLevels(), Reliability: f.Reliable, Widen: f.Widen}, f.Count > 0
}
