package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"

	"traplight/internal/atomicfile"
)

// Analysis is what the rooms below made of one log: the report as JSON, and
// the few columns by which passes are listed.
type Analysis struct {
	// Report is the JSON of the report; it must not be empty.
	Report []byte
	// Inputs tells apart all that went into the report (log, sheet, notes,
	// history, program): when it differs, the report is out of date. A hash,
	// as a rule.
	Inputs string
	// Car is the name of a car whose sheet the store has; "" when not known.
	Car string
	// Start is the log's own start, ISO 8601; "" when not known.
	Start string
	// Passes are in time order.
	Passes []PassRow
}

// PassRow are the catalogue columns of one pass. A nil pointer is "could not be
// obtained".
type PassRow struct {
	NoteKey     string   // id of the notes' entry; "" when there is none
	Event       string   // "" when not known
	RunAt       string   // local date and time as known, ISO 8601, may be cut short; "" when not known
	Launch      *float64 // s, log's own clock
	Complete    bool
	TrapSpeed   *float64 // m/s
	TrapSpeedSD *float64 // m/s, standard deviation
	HalfMile    *float64 // s from rollout
	HalfMileSD  *float64 // s, standard deviation
	Verdict     string   // "" when absent
}

// Analyse makes the analysis of one log. The log's own name may differ from
// the path's. It is called without any lock held, by several goroutines at once.
type Analyse func(ctx context.Context, path, file string, sum atomicfile.Sum) (*Analysis, error)

// Outcome says what adding a log came to.
type Outcome string

// The outcomes of adding a log.
const (
	Added   Outcome = "added"             // it is new
	Known   Outcome = "known"             // the store has it; nothing was done
	Healed  Outcome = "original restored" // the store had it but its original was lost or damaged
	InTrash Outcome = "in the trash"      // it was removed; nothing was done
)

// Addition is the outcome of adding one log.
type Addition struct {
	File    string   `json:"file"`
	SHA256  string   `json:"sha256"`
	Outcome Outcome  `json:"outcome"`
	Passes  []string `json:"passes"` // names, in time order
}

// Add takes a log into the store: its bytes, the report made of it, and its
// passes. The store has all of it afterwards, or, after an error, nothing.
func (s *Store) Add(ctx context.Context, path string, analyse Analyse) (Addition, error) {
	p, err := s.propose(ctx, path, analyse)
	if err != nil {
		return Addition{File: filepath.Base(path)}, err
	}
	return s.settle(ctx, p)
}

// proposal is a log read and analysed, not yet taken in.
type proposal struct {
	path, file string
	sum        atomicfile.Sum
	analysis   *Analysis // nil when the store has it already
	shorter    []string  // SHA-256 of logs that are this one's beginning
}

// propose does the slow part, for which no lock is needed.
func (s *Store) propose(ctx context.Context, path string, analyse Analyse) (p proposal, err error) {
	p = proposal{path: path, file: filepath.Base(path)}
	if p.sum, err = SumFile(path); err != nil {
		return p, err
	}
	l, err := s.logBySum(ctx, s.read, p.sum.SHA256)
	switch {
	case err == nil && !l.dropped:
		return p, nil
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return p, wrap("add "+p.file, err)
	}
	if p.shorter, err = s.beginnings(ctx, p); err != nil {
		return p, wrap("add "+p.file, err)
	}
	p.analysis, err = analyse(ctx, path, p.file, p.sum)
	return p, err
}

// beginnings finds logs of the same name whose bytes are the beginning of this
// one's: taken while the recorder was still writing.
func (s *Store) beginnings(ctx context.Context, p proposal) (sums []string, err error) {
	type candidate struct {
		sum  string
		size int64
	}
	list, err := rows(ctx, s.read, func(scan func(...any) error) (c candidate, err error) { return c, scan(&c.sum, &c.size) },
		`SELECT sha256, size_bytes FROM log JOIN log_name ON log_id = log.id
		WHERE log_name.file = ? AND size_bytes < ? AND removed_at IS NULL`, p.file, p.sum.Size)
	for _, c := range list {
		got, sumErr := sumPart(p.path, c.size)
		if sumErr != nil {
			return nil, sumErr
		}
		if got.SHA256 == c.sum {
			sums = append(sums, c.sum)
		}
	}
	return sums, err
}

// settle does the short part, as the only writer.
func (s *Store) settle(ctx context.Context, p proposal) (Addition, error) {
	a := Addition{File: p.file, SHA256: p.sum.SHA256, Outcome: Added}
	l, err := s.logBySum(ctx, s.read, p.sum.SHA256)
	switch {
	case err == nil && !l.dropped:
		return s.again(ctx, p, l)
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return a, wrap("add "+p.file, err)
	}
	if p.analysis == nil { // dropped for good between the two halves
		return a, fmt.Errorf("add %s: %w", p.file, ErrChanged)
	}
	err = s.withOriginal(ctx, p.path, p.sum, "add log", p.file, func(tx *Tx) (err error) {
		a.Passes, err = s.insertLog(tx, p)
		if errors.Is(err, errKnown) { // another process was quicker
			a.Outcome, err = Known, nil
		}
		return err
	})
	if err != nil {
		return Addition{File: p.file, SHA256: p.sum.SHA256}, wrap("add "+p.file, err)
	}
	if a.Outcome == Known {
		a.Passes, err = s.passNames(ctx, s.read, p.sum.SHA256)
	}
	return a, err
}

// again is adding a log that the store has: it heals a lost original and
// learns a further name.
func (s *Store) again(ctx context.Context, p proposal, l logRow) (a Addition, err error) {
	a = Addition{File: p.file, SHA256: p.sum.SHA256, Outcome: Known}
	if l.removed {
		a.Outcome = InTrash
	}
	if !s.whole(p.sum) {
		err = s.change(ctx, "restore original", p.file, func(tx *Tx) error { return s.keep(p.path, p.sum) })
		a.Outcome = Healed
	}
	if err == nil && !l.named(p.file) {
		err = s.change(ctx, "add name", p.file, func(tx *Tx) error {
			_, err := tx.exec("INSERT OR IGNORE INTO log_name (log_id, file) VALUES (?, ?)", l.id, p.file)
			return err
		})
	}
	if err != nil {
		return Addition{File: p.file, SHA256: p.sum.SHA256}, wrap("add "+p.file, err)
	}
	a.Passes, err = s.passNames(ctx, s.read, p.sum.SHA256)
	return a, err
}

var errKnown = errors.New("known")
