package app

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/store"
)

// The kinds of scores in the store.
const (
	kindExpected = "as expected"
	kindAsRun    = "as run"
)

// Said are the forecasts that the store holds with their scores, in the form in which a
// file of records has them. One that nobody scored counts as expected against the pass
// whose note bears the planned pass's id, if it was written down before that log came.
func (s *Shop) Said(ctx context.Context) ([]forecast.Record, error) { return s.said(ctx, true) }

// said is Said; without byNote the scores are those that were written down alone.
func (s *Shop) said(ctx context.Context, byNote bool) ([]forecast.Record, error) {
	list, err := s.Forecasts(ctx, "")
	if err != nil || len(list) == 0 {
		return nil, err
	}
	scores, err := s.Scores(ctx)
	if err != nil {
		return nil, err
	}
	passes, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, err
	}
	logs, err := s.logsOf(ctx)
	if err != nil {
		return nil, err
	}
	var out []forecast.Record
	planned := map[string][]*forecast.Record{} // by id, in the order of writing
	done := map[string]bool{}                  // forecasts scored, by hash
	byID := map[int64]*forecast.Record{}
	for _, f := range list {
		a := &forecast.Answer{}
		if err := json.Unmarshal(f.Body, a); err != nil {
			return nil, fmt.Errorf("forecast %d in the store: %w", f.ID, err)
		}
		r := forecast.Record{At: f.RecordedAt, Car: f.Car, Next: f.Planned, Forecast: a, Hash: f.Chain}
		out = append(out, r)
		planned[f.Planned] = append(planned[f.Planned], &r)
		byID[f.ID] = &r
	}
	for _, c := range scores {
		r := byID[c.ForecastID]
		if r == nil || c.Kind != kindExpected {
			continue
		}
		scored := &forecast.Scored{}
		if err := json.Unmarshal(c.Body, scored); err != nil {
			return nil, fmt.Errorf("score of forecast %d in the store: %w", c.ForecastID, err)
		}
		done[r.Hash] = true
		out = append(out, forecast.Record{At: c.RecordedAt, Car: r.Car, Next: r.Next, Scored: scored})
	}
	for _, p := range passes {
		r := lastBefore(planned[p.NoteKey], logs[p.SHA256].AddedAt)
		if !byNote || p.NoteKey == "" || r == nil || done[r.Hash] || p.TrapSpeed == nil || !p.Complete {
			continue
		}
		out = append(out, forecast.Record{At: r.At, Car: r.Car, Next: r.Next, Scored: &forecast.Scored{Next: r.Next, Forecast: r.Hash,
			Pass: fmt.Sprintf("%s#%d", logs[p.SHA256].File, p.Number), Trap: *p.TrapSpeed, SD: r.Forecast.Trap.SD, Expected: forecast.ScoreRecord(r, *p.TrapSpeed)}})
	}
	return out, nil
}

// lastBefore is the last record that was written down before a moment, UTC as the store
// stamps it; nil when none was: what is written afterwards is no forecast.
func lastBefore(records []*forecast.Record, moment string) *forecast.Record {
	for _, r := range slices.Backward(records) {
		if r.At <= moment {
			return r
		}
	}
	return nil
}

// logsOf gives the logs by their sums.
func (s *Shop) logsOf(ctx context.Context) (map[string]store.Log, error) {
	logs, err := s.Logs(ctx)
	out := map[string]store.Log{}
	for _, l := range logs {
		out[l.SHA256] = l
	}
	return out, err
}

// KeepForecast writes a forecast down in the store.
func (s *Shop) KeepForecast(ctx context.Context, f *Fitted, r *forecast.Result) error {
	body, err := json.Marshal(r.Answer())
	if err != nil {
		return err
	}
	var made []string
	for _, p := range f.Model.Passes {
		made = append(made, fmt.Sprintf("%s#%d", p.Obs.File, p.Obs.Index))
	}
	_, err = s.RecordForecast(ctx, f.Sheet.Name, r.Next.ID, hashOf(made...), body)
	return err
}

// ScoreForecast is as the function of that name with the store for the file of records.
func (s *Shop) ScoreForecast(ctx context.Context, q ForecastRequest, came string) (*forecast.Scored, *car.Sheet, error) {
	records, err := s.said(ctx, false)
	if err != nil {
		return nil, nil, err
	}
	rec, scored := forecast.Find(records, q.Next)
	if rec == nil {
		return nil, nil, fmt.Errorf("the store holds no forecast for %q: it has to be written down before the pass (--keep)", q.Next)
	}
	if scored {
		return nil, nil, fmt.Errorf("the forecast for %q was scored before: scores are written once", q.Next)
	}
	c, err := score(ctx, q, rec, came)
	if err != nil {
		return nil, nil, err
	}
	body, err := json.Marshal(c.Scored)
	if err != nil {
		return nil, nil, err
	}
	list, err := s.Forecasts(ctx, q.Next)
	if err != nil {
		return nil, nil, err
	}
	name, added, err := s.nameOf(ctx, c.pass)
	if err != nil {
		return nil, nil, err
	}
	if added != "" && rec.At > added {
		return nil, nil, fmt.Errorf("the forecast for %q was written down after %s had come: what is said afterwards is not scored", q.Next, name)
	}
	kinds := []string{kindExpected}
	if c.AsRun != nil {
		kinds = append(kinds, kindAsRun)
	}
	for _, f := range list {
		for _, k := range kinds {
			if f.Chain != rec.Hash {
				continue
			}
			if err := s.RecordScore(ctx, store.Score{ForecastID: f.ID, Pass: name, Kind: k, Body: body}); err != nil {
				return nil, nil, err
			}
		}
	}
	return c.Scored, c.sheet, nil
}

// nameOf is what the store calls a pass and when its log came; its file and number and
// no time when it is not there.
func (s *Shop) nameOf(ctx context.Context, o *fitcar.Observation) (name, added string, err error) {
	passes, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return "", "", err
	}
	logs, err := s.logsOf(ctx)
	for _, p := range passes {
		if l := logs[p.SHA256]; strings.EqualFold(l.File, o.File) && p.Number == o.Index {
			return p.Name, l.AddedAt, err
		}
	}
	return fmt.Sprintf("%s#%d", o.File, o.Index), "", err
}
