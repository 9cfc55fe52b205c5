package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"math"
)

// sameLaunch is how far the launch of a pass may move, s, from one analysis to
// the next before it counts as another pass. Passes lie minutes apart.
const sameLaunch = 2.0

// Result is a stored report.
type Result struct {
	Report  []byte // JSON as it was given
	Inputs  string
	Program string
	MadeAt  string // UTC
}

// putAnalysis stores a report and brings the passes of the log in line with it.
// A pass keeps its name from one analysis to the next: it is known again by
// its launch, or by its number where no launch is known. One that is not found
// again is marked as gone, not deleted, since forecasts may speak of it.
func (s *Store) putAnalysis(tx *Tx, logID int64, a *Analysis) error {
	if len(a.Report) == 0 {
		return errors.New("there is no report to keep")
	}
	carID, err := s.carID(tx, a.Car)
	if err != nil {
		return err
	}
	resultID, err := tx.insert("INSERT INTO result (log_id, made_at, program, inputs, sha256, body) VALUES (?, ?, ?, ?, ?, ?)",
		logID, s.stamp(), s.program, a.Inputs, sumOf(a.Report), pack(a.Report))
	if err != nil {
		return err
	}
	if _, err := tx.exec("UPDATE log SET car_id = ?, start = ? WHERE id = ?", carID, a.Start, logID); err != nil {
		return err
	}
	known, err := rows(tx.ctx, tx.conn, func(scan func(...any) error) (k knownPass, err error) {
		return k, scan(&k.id, &k.number, &k.launch)
	}, "SELECT id, number, launch_s FROM pass WHERE log_id = ? ORDER BY gone_at IS NOT NULL, number", logID)
	if err != nil {
		return err
	}
	if _, err := tx.exec("UPDATE pass SET gone_at = coalesce(gone_at, ?) WHERE log_id = ?", s.stamp(), logID); err != nil {
		return err
	}
	for i, p := range a.Passes {
		id, rest := match(known, i, p.Launch)
		known = rest
		if id == 0 {
			name, err := newName(tx, a.Car, p.RunAt)
			if err != nil {
				return err
			}
			id, err = tx.insert(`INSERT INTO pass (name, note_key, log_id, number, event, run_at, complete, verdict, added_at)
				VALUES (?, '', ?, ?, '', '', 0, '', ?)`, name, logID, i, s.stamp())
			if err != nil {
				return err
			}
		}
		_, err := tx.exec(`UPDATE pass SET note_key = ?, number = ?, result_id = ?, car_id = ?, event = ?, run_at = ?, launch_s = ?, complete = ?,
			trap_speed_mps = ?, trap_speed_sd_mps = ?, half_mile_s = ?, half_mile_sd_s = ?, verdict = ?, gone_at = NULL WHERE id = ?`,
			p.NoteKey, i, resultID, carID, p.Event, p.RunAt, finite(p.Launch), p.Complete,
			finite(p.TrapSpeed), finite(p.TrapSpeedSD), finite(p.HalfMile), finite(p.HalfMileSD), p.Verdict, id)
		if err != nil {
			return err
		}
	}
	return nil
}

type knownPass struct {
	id     int64
	number int
	launch sql.NullFloat64 // s
}

// match finds the earlier row of pass number i, and the rows that remain.
func match(known []knownPass, i int, launch *float64) (id int64, rest []knownPass) {
	best := -1
	for k, p := range known {
		switch {
		case launch != nil && p.launch.Valid:
			off := math.Abs(p.launch.Float64 - *launch)
			if off < sameLaunch && (best < 0 || off < math.Abs(known[best].launch.Float64-*launch)) {
				best = k
			}
		case p.number == i && best < 0:
			best = k
		}
	}
	if best < 0 {
		return 0, known
	}
	id = known[best].id
	return id, append(known[:best:best], known[best+1:]...)
}

// finite turns what has no number into NULL.
func finite(v *float64) any {
	if v == nil || math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	return *v
}

// PutResult stores a new report of a log that the store has, for instance
// after a new sheet revision. Earlier reports stay.
func (s *Store) PutResult(ctx context.Context, sum string, a *Analysis) error {
	return wrap("keep the report", s.change(ctx, "analyse", short(sum), func(tx *Tx) error {
		l, err := s.logBySum(tx.ctx, tx.conn, sum)
		if errors.Is(err, sql.ErrNoRows) || err == nil && l.dropped {
			return fmt.Errorf("log %s: %w", short(sum), ErrNotFound)
		}
		if err != nil {
			return err
		}
		return s.putAnalysis(tx, l.id, a)
	}))
}

// Result returns the newest report of a log.
func (s *Store) Result(ctx context.Context, sum string) (Result, error) {
	var r Result
	var packed []byte
	var want string
	err := s.read.QueryRowContext(ctx, `SELECT body, result.sha256, inputs, program, made_at FROM result JOIN log ON log.id = log_id
		WHERE log.sha256 = ? ORDER BY result.id DESC LIMIT 1`, sum).Scan(&packed, &want, &r.Inputs, &r.Program, &r.MadeAt)
	if errors.Is(err, sql.ErrNoRows) {
		return r, fmt.Errorf("report of log %s: %w", short(sum), ErrNotFound)
	}
	if err != nil {
		return r, wrap("read the report", err)
	}
	if r.Report, err = unpack(packed); err == nil && sumOf(r.Report) != want {
		err = fmt.Errorf("report of log %s: %w", short(sum), ErrDamaged)
	}
	return r, err
}

// Made says what a log's newest report was made of, and by which program.
type Made struct{ Inputs, Program string }

// Made lists it for every log that has a report, by SHA-256.
func (s *Store) Made(ctx context.Context) (map[string]Made, error) {
	out := map[string]Made{}
	_, err := rows(ctx, s.read, func(scan func(...any) error) (_ struct{}, err error) {
		var sum string
		var m Made
		err = scan(&sum, &m.Inputs, &m.Program)
		out[sum] = m // the newest comes last
		return struct{}{}, err
	}, "SELECT log.sha256, inputs, program FROM result JOIN log ON log.id = log_id ORDER BY result.id")
	return out, wrap("look through the reports", err)
}

// pack compresses JSON, which is mostly repeated names.
func pack(data []byte) []byte {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	w.Write(data) // a Buffer takes everything
	w.Close()
	return b.Bytes()
}

func unpack(data []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	out, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	return out, nil
}
