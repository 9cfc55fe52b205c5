package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Forecast is a forecast as it was written down before a pass.
type Forecast struct {
	ID         int64  `json:"id"`
	RecordedAt string `json:"recorded_at"` // UTC
	Car        string `json:"car"`
	Planned    string `json:"planned"` // id of the planned entry, or of the pass itself
	Program    string `json:"program"`
	Inputs     string `json:"inputs"` // hash of all that went in
	Body       []byte `json:"-"`      // JSON
	SHA256     string `json:"sha256"` // of Body
	Chain      string `json:"chain"`  // SHA-256 over this record and the one before it
}

// RecordForecast writes a forecast down for good. The time is the store's own,
// not the caller's.
func (s *Store) RecordForecast(ctx context.Context, car, planned, inputs string, body []byte) (Forecast, error) {
	f := Forecast{Car: car, Planned: planned, Program: s.program, Inputs: inputs, Body: body, SHA256: sumOf(body)}
	err := s.change(ctx, "record forecast", planned, func(tx *Tx) error {
		previous, err := lastChain(tx, "forecast")
		if err != nil {
			return err
		}
		f.RecordedAt = s.stamp()
		f.Chain = forecastLink(previous, f)
		f.ID, err = tx.insert("INSERT INTO forecast (recorded_at, car, planned, program, inputs, body, sha256, previous, chain) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
			f.RecordedAt, f.Car, f.Planned, f.Program, f.Inputs, pack(body), f.SHA256, previous, f.Chain)
		return err
	})
	return f, wrap("record the forecast", err)
}

func forecastLink(previous string, f Forecast) string {
	return link(previous, f.RecordedAt, f.Car, f.Planned, f.Program, f.Inputs, f.SHA256)
}

const forecastColumns = "id, recorded_at, car, planned, program, inputs, body, sha256, chain FROM forecast"

func scanForecast(scan func(...any) error) (f Forecast, err error) {
	var packed []byte
	if err := scan(&f.ID, &f.RecordedAt, &f.Car, &f.Planned, &f.Program, &f.Inputs, &packed, &f.SHA256, &f.Chain); err != nil {
		return f, err
	}
	if f.Body, err = unpack(packed); err == nil && sumOf(f.Body) != f.SHA256 {
		err = fmt.Errorf("forecast %d: %w", f.ID, ErrDamaged)
	}
	return f, err
}

// Forecasts lists what was recorded for a planned entry, or for all with "", in
// the order of recording.
func (s *Store) Forecasts(ctx context.Context, planned string) ([]Forecast, error) {
	list, err := rows(ctx, s.read, scanForecast, "SELECT "+forecastColumns+" WHERE ?1 = '' OR planned = ?1 ORDER BY id", planned)
	return list, wrap("read the forecasts", err)
}

// Score is a forecast held against the pass that followed.
type Score struct {
	ForecastID int64  `json:"forecast_id"`
	Pass       string `json:"pass"` // name
	Kind       string `json:"kind"` // "as expected" or "as run"
	RecordedAt string `json:"recorded_at"`
	Body       []byte `json:"-"` // JSON
	SHA256     string `json:"sha256"`
}

// RecordScore writes a score down. Scores are never changed; of several of one
// kind for the same forecast and pass, the last one counts.
func (s *Store) RecordScore(ctx context.Context, c Score) error {
	return wrap("record the score", s.change(ctx, "record score", c.Pass, func(tx *Tx) error {
		_, err := tx.insert("INSERT INTO score (forecast_id, pass, kind, recorded_at, body, sha256) VALUES (?, ?, ?, ?, ?, ?)",
			c.ForecastID, c.Pass, c.Kind, s.stamp(), pack(c.Body), sumOf(c.Body))
		return err
	}))
}

// Scores lists the scores that count, in the order of their forecasts.
func (s *Store) Scores(ctx context.Context) ([]Score, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (c Score, err error) {
		var packed []byte
		if err := scan(&c.ForecastID, &c.Pass, &c.Kind, &c.RecordedAt, &packed, &c.SHA256); err != nil {
			return c, err
		}
		if c.Body, err = unpack(packed); err == nil && sumOf(c.Body) != c.SHA256 {
			err = fmt.Errorf("score of forecast %d: %w", c.ForecastID, ErrDamaged)
		}
		return c, err
	}, `SELECT forecast_id, pass, kind, recorded_at, body, sha256 FROM score AS c
		WHERE id = (SELECT max(id) FROM score WHERE forecast_id = c.forecast_id AND pass = c.pass AND kind = c.kind) ORDER BY forecast_id, id`)
	return list, wrap("read the scores", err)
}

// Inspection is what was looked at after a pass, and found.
type Inspection struct {
	Pass   string `json:"pass"`
	Found  string `json:"found"`
	ByWhom string `json:"by"`
	MadeAt string `json:"made_at"` // UTC
}

// RecordInspection writes an inspection down, to stay.
func (s *Store) RecordInspection(ctx context.Context, pass, found, byWhom string) error {
	if found == "" {
		return &Hinted{errors.New("an inspection needs what was found"), `write what was looked at and how it was, such as "plugs read, oil filter cut open: clean"`}
	}
	return wrap("record the inspection", s.change(ctx, "record inspection", pass, func(tx *Tx) error {
		var id int64
		if err := tx.row("SELECT id FROM pass WHERE name = ?", pass).Scan(&id); err != nil {
			return notFound("pass "+pass, err)
		}
		_, err := tx.insert("INSERT INTO inspection (pass_id, found, by_whom, made_at) VALUES (?, ?, ?, ?)", id, found, byWhom, s.stamp())
		return err
	}))
}

// Inspections lists what was entered for a pass, the oldest first.
func (s *Store) Inspections(ctx context.Context, pass string) ([]Inspection, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (i Inspection, err error) {
		return i, scan(&i.Pass, &i.Found, &i.ByWhom, &i.MadeAt)
	}, "SELECT name, found, by_whom, made_at FROM inspection JOIN pass ON pass.id = pass_id WHERE name = ? ORDER BY inspection.id", pass)
	return list, wrap("read the inspections", err)
}

// Correct remembers for a car what a channel means, in the words of the sheet's
// table of channels; "" takes an earlier correction back.
func (s *Store) Correct(ctx context.Context, car, channel, meaning string) error {
	return wrap("remember the channel", s.change(ctx, "correct channel", car+": "+channel, func(tx *Tx) error {
		id, err := s.makeCar(tx, car)
		if err != nil {
			return err
		}
		_, err = tx.insert("INSERT INTO correction (car_id, channel, meaning, made_at) VALUES (?, ?, ?, ?)", id, channel, meaning, s.stamp())
		return err
	}))
}

// Corrections gives the meaning of each corrected channel of a car.
func (s *Store) Corrections(ctx context.Context, car string) (map[string]string, error) {
	out := map[string]string{}
	_, err := rows(ctx, s.read, func(scan func(...any) error) (struct{}, error) {
		var channel, meaning string
		err := scan(&channel, &meaning)
		if meaning == "" {
			delete(out, channel)
		} else {
			out[channel] = meaning
		}
		return struct{}{}, err
	}, "SELECT channel, meaning FROM correction JOIN car ON car.id = car_id WHERE key = ? ORDER BY correction.id", fold(car))
	return out, wrap("read the corrections", err)
}

// Learn keeps what was learnt about a car on a subject, such as "tyre radius".
// It is computed from the logs and can be computed again; only the newest of
// each subject counts.
func (s *Store) Learn(ctx context.Context, car, subject, inputs string, body []byte) error {
	return wrap("keep what was learnt", s.change(ctx, "learn", car+": "+subject, func(tx *Tx) error {
		id, err := s.makeCar(tx, car)
		if err != nil {
			return err
		}
		_, err = tx.insert("INSERT INTO knowledge (car_id, subject, inputs, body, sha256, made_at) VALUES (?, ?, ?, ?, ?, ?)",
			id, subject, inputs, pack(body), sumOf(body), s.stamp())
		return err
	}))
}

// Learnt gives the newest of what was learnt about a car on a subject; ok is
// false when nothing was.
func (s *Store) Learnt(ctx context.Context, car, subject string) (body []byte, inputs string, ok bool, err error) {
	var packed []byte
	var want string
	err = s.read.QueryRowContext(ctx, `SELECT body, inputs, sha256 FROM knowledge JOIN car ON car.id = car_id
		WHERE key = ? AND subject = ? ORDER BY knowledge.id DESC LIMIT 1`, fold(car), subject).Scan(&packed, &inputs, &want)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, "", false, nil
	}
	if err == nil {
		body, err = unpack(packed)
	}
	if err == nil && sumOf(body) != want {
		err = ErrDamaged
	}
	return body, inputs, err == nil, wrap("read what was learnt", err)
}
