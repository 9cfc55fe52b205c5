package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"time"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
)

// ErrNoRecords says that a forecast to score is looked for in no file.
var ErrNoRecords = errors.New("--came needs --record, the file in which the forecast was written down before the pass")

// TrackRecord is how the recorded forecasts of a car came out.
type TrackRecord struct {
	Expected forecast.Track `json:"expected"` // as recorded
	AsRun    forecast.Track `json:"as_run"`   // with settings and weather as they then were
}

// counts is the track that corrects later intervals: weather that came otherwise than
// expected is not the model's fault.
func (t TrackRecord) counts() *forecast.Track {
	if t.AsRun.Count > 0 {
		return &t.AsRun
	}
	return &t.Expected
}

// ReadTrack reads the track record of a car from a file of records; an absent file holds
// none.
func ReadTrack(path, carName string) (TrackRecord, error) {
	records, err := forecast.ReadRecords(path)
	if err != nil {
		return TrackRecord{}, err
	}
	e, a := forecast.TrackOf(records, carName)
	return TrackRecord{e, a}, nil
}

// ScoreForecast holds the recorded forecast of the planned pass q.Next against the pass
// that came, in the log came, and writes the score down in the file of records. The
// history in q is that before the pass: the forecast is worked out again from it with the
// settings and the weather as they then were.
func ScoreForecast(ctx context.Context, q ForecastRequest, path, came string, now time.Time) (*forecast.Scored, *car.Sheet, error) {
	records, err := forecast.ReadRecords(path)
	if err != nil {
		return nil, nil, err
	}
	rec, scored := forecast.Find(records, q.Next)
	if rec == nil {
		return nil, nil, fmt.Errorf("%s holds no forecast for %q: it has to be recorded before the pass", path, q.Next)
	}
	if scored {
		return nil, nil, fmt.Errorf("the forecast for %q was scored before: scores are written once", q.Next)
	}
	scoring, err := score(ctx, q, rec, came)
	if err != nil {
		return nil, nil, err
	}
	return scoring.Scored, scoring.sheet, forecast.AppendScore(path, scoring.sheet.Name, scoring.Scored, now)
}

// scoring is a score with whose it is.
type scoring struct {
	*forecast.Scored
	sheet *car.Sheet
	pass  *fitcar.Observation
}

// score holds a recorded forecast against the pass that came.
func score(ctx context.Context, q ForecastRequest, rec *forecast.Record, came string) (*scoring, error) {
	o, err := passThatCame(ctx, q, came)
	if err != nil {
		return nil, err
	}
	f, err := FitHistory(ctx, q, "")
	if err != nil {
		return nil, err
	}
	planned, err := f.planned(q.Next)
	if err != nil {
		return nil, err
	}
	s := &forecast.Scored{Next: q.Next, Forecast: rec.Hash, Pass: fmt.Sprintf("%s#%d", o.File, o.Index), Trap: o.Trap,
		SD: rec.Forecast.Trap.SD, Expected: forecast.ScoreRecord(rec, o.Trap)}
	n, err := forecast.Prepare(f.Model, f.Notes, planned)
	if err != nil {
		return nil, err
	}
	r, err := forecast.Run(ctx, f.Model, forecast.AsRun(f.Model, n, o), forecast.Options{Draws: q.Draws, Seed: q.Seed})
	if err != nil && ctx.Err() != nil {
		return nil, err
	}
	if err == nil {
		again := forecast.ScoreResult(r, o.Trap)
		s.AsRun, s.AsRunSD = &again, r.Trap.SD
	}
	return &scoring{s, f.Sheet, o}, nil
}

// passThatCame is the pass of a log that a forecast is scored against: the one whose note
// has the id of the planned pass, else the last.
func passThatCame(ctx context.Context, q ForecastRequest, came string) (*fitcar.Observation, error) {
	q.History = []string{came}
	obs, err := Observations(ctx, q)
	if err != nil {
		return nil, err
	}
	if len(obs) == 0 {
		return nil, fmt.Errorf("%s: no pass to score the forecast against", filepath.Base(came))
	}
	o := obs[len(obs)-1]
	for _, x := range obs {
		if x.ID == q.Next {
			o = x
		}
	}
	if math.IsNaN(o.Trap) || o.Lifted() || !o.Complete {
		return nil, fmt.Errorf("%s, pass %d was lifted: a forecast is scored only against a pass at full throttle to the line", o.File, o.Index+1)
	}
	return o, nil
}
