package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Pass is one line of the catalogue. A nil pointer is "could not be obtained".
type Pass struct {
	Name        string   `json:"name"`              // unique, never changes
	NoteKey     string   `json:"note_id,omitempty"` // id of the notes' entry
	Car         string   `json:"car"`
	Event       string   `json:"event"`
	RunAt       string   `json:"run_at"`                         // local, ISO 8601
	ByAdding    bool     `json:"run_at_is_when_added,omitempty"` // neither log nor notes date it (AddedForm)
	File        string   `json:"file"`
	SHA256      string   `json:"sha256"`
	Number      int      `json:"index"`             // 0-based in the log, in time order
	Launch      *float64 `json:"launch_s"`          // s, log's own clock
	Complete    bool     `json:"complete"`          // it reached the line
	TrapSpeed   *float64 `json:"trap_speed_mps"`    // m/s
	TrapSpeedSD *float64 `json:"trap_speed_sd_mps"` // m/s
	HalfMile    *float64 `json:"half_mile_s"`       // s from rollout
	HalfMileSD  *float64 `json:"half_mile_sd_s"`    // s
	Verdict     string   `json:"verdict"`           // "" when absent
	Forecasts   int      `json:"forecasts"`         // recorded for its entry in the notes
	Removed     bool     `json:"removed,omitempty"` // in the trash
}

// AddedForm is the form of a RunAt that is not known: the moment when the log was added. It alone
// has thousandths of a second.
const AddedForm = "2006-01-02T15:04:05.000"

func isAdded(at string) bool {
	_, err := time.Parse(AddedForm, at)
	return err == nil && len(at) == len(AddedForm)
}

// Filter chooses passes. The zero value chooses all that are not in the trash.
type Filter struct {
	Car   string // name of a car, upper or lower case
	Event string
	// Date is a day, month or year, as "2031-05-17", "2031-05" or "2031".
	Date string
	// Since and Until are the first and last day, as "2031-05-17"; a month or
	// a year serves too.
	Since, Until string
	// Removed chooses those in the trash instead.
	Removed bool
	// Logs chooses the passes of the logs with these SHA-256; nil means all.
	Logs []string
}

const passColumns = `pass.name, note_key, coalesce(car.name, ''), event, run_at, log.file, log.sha256, number, launch_s, complete,
	trap_speed_mps, trap_speed_sd_mps, half_mile_s, half_mile_sd_s, verdict,
	(SELECT count(*) FROM forecast WHERE planned = note_key AND note_key <> ''),
	pass.removed_at IS NOT NULL OR log.removed_at IS NOT NULL`

const passTables = ` FROM pass JOIN log ON log.id = pass.log_id LEFT JOIN car ON car.id = pass.car_id`

// present leaves out what is not found any more or dropped for good.
const present = ` gone_at IS NULL AND dropped_at IS NULL`

func scanPass(scan func(...any) error) (p Pass, err error) {
	err = scan(&p.Name, &p.NoteKey, &p.Car, &p.Event, &p.RunAt, &p.File, &p.SHA256, &p.Number, &p.Launch, &p.Complete,
		&p.TrapSpeed, &p.TrapSpeedSD, &p.HalfMile, &p.HalfMileSD, &p.Verdict, &p.Forecasts, &p.Removed)
	p.ByAdding = isAdded(p.RunAt)
	return p, err
}

// Passes lists passes in the order in which they were run; those of unknown
// date come first, in the order in which they were added.
func (s *Store) Passes(ctx context.Context, f Filter) ([]Pass, error) {
	where := []string{present}
	var args []any
	add := func(cond string, a ...any) {
		where = append(where, cond)
		args = append(args, a...)
	}
	if f.Removed {
		add("(pass.removed_at IS NOT NULL OR log.removed_at IS NOT NULL)")
	} else {
		add("pass.removed_at IS NULL AND log.removed_at IS NULL")
	}
	if f.Car != "" {
		add("car.key = ?", fold(f.Car))
	}
	if f.Event != "" {
		add("event = ?", f.Event)
	}
	if f.Date != "" {
		add("run_at LIKE ? ESCAPE '\\'", likePrefix(f.Date))
	}
	if f.Since != "" {
		add("run_at >= ?", f.Since)
	}
	if f.Until != "" { // its own day, month or year included
		add("run_at <> '' AND substr(run_at, 1, ?) <= ?", len(f.Until), f.Until)
	}
	if f.Logs != nil {
		if len(f.Logs) == 0 {
			return nil, nil
		}
		add("log.sha256 IN (?"+strings.Repeat(", ?", len(f.Logs)-1)+")", anys(f.Logs)...)
	}
	list, err := rows(ctx, s.read, scanPass, "SELECT "+passColumns+passTables+" WHERE "+strings.Join(where, " AND ")+
		" ORDER BY run_at, pass.log_id, number", args...)
	return list, wrap("list passes", err)
}

// Log is a log of the store.
type Log struct {
	SHA256  string   `json:"sha256"`
	File    string   `json:"file"`  // name under which it came first
	Names   []string `json:"names"` // all names under which it came
	Size    int64    `json:"size_bytes"`
	Car     string   `json:"car"`
	Start   string   `json:"start"`
	AddedAt string   `json:"added_at"` // UTC
	Removed bool     `json:"removed,omitempty"`
	With    []string `json:"together_with,omitempty"` // SHA-256 of further recorders' logs of the same passes
}

// Logs lists the logs in the order in which they were added, those in the trash
// included.
func (s *Store) Logs(ctx context.Context) ([]Log, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (l Log, err error) {
		var names, with string
		if err = scan(&l.SHA256, &l.File, &l.Size, &l.Car, &l.Start, &l.AddedAt, &l.Removed, &names, &with); err != nil {
			return l, err
		}
		if l.Names, err = texts(names); err != nil {
			return l, err
		}
		l.With, err = texts(with)
		return l, err
	}, `SELECT sha256, file, size_bytes, coalesce(car.name, ''), start, log.added_at, removed_at IS NOT NULL,
		(SELECT json_group_array(file) FROM log_name WHERE log_id = log.id),
		(SELECT json_group_array(other.sha256) FROM together JOIN log other ON other.id = with_id WHERE log_id = log.id)
		FROM log LEFT JOIN car ON car.id = car_id WHERE dropped_at IS NULL ORDER BY log.id`)
	return list, wrap("list logs", err)
}

// Together says that the second log is another recorder's of the passes in
// the first.
func (s *Store) Together(ctx context.Context, first, second string) error {
	return wrap("join logs", s.change(ctx, "join logs", short(first)+" "+short(second), func(tx *Tx) error {
		a, err := s.logBySum(ctx, tx.conn, first)
		if err != nil {
			return notFound("log "+short(first), err)
		}
		b, err := s.logBySum(ctx, tx.conn, second)
		if err != nil {
			return notFound("log "+short(second), err)
		}
		_, err = tx.exec("INSERT OR IGNORE INTO together (log_id, with_id) VALUES (?, ?)", a.id, b.id)
		return err
	}))
}

// Events lists the events of all passes, by name, with their days.
func (s *Store) Events(ctx context.Context) ([]Event, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (e Event, err error) {
		var cars string
		if err = scan(&e.Name, &e.First, &e.Last, &e.Passes, &cars); err != nil {
			return e, err
		}
		e.Cars, err = texts(cars)
		return e, err
	}, `SELECT event, min(run_at), max(run_at), count(*), json_group_array(DISTINCT car.name)`+passTables+
		` WHERE `+present+` AND pass.removed_at IS NULL AND log.removed_at IS NULL AND event <> '' GROUP BY event ORDER BY min(run_at), event`)
	return list, wrap("list events", err)
}

// Event is some days at a strip, as far as passes tell.
type Event struct {
	Name   string   `json:"event"`
	First  string   `json:"first"` // run_at of the first pass
	Last   string   `json:"last"`
	Passes int      `json:"passes"`
	Cars   []string `json:"cars"`
}

// texts reads a JSON array of texts made by the database; nulls are left out.
func texts(list string) (out []string, err error) {
	var all []*string
	err = json.Unmarshal([]byte(list), &all)
	for _, t := range all {
		if t != nil {
			out = append(out, *t)
		}
	}
	return out, err
}

func anys[T any](list []T) []any {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = v
	}
	return out
}

// likePrefix is the LIKE pattern (escape \) of what begins with text.
func likePrefix(text string) string {
	return strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(text) + "%"
}

// fold makes names that differ by case or outer blanks alike.
func fold(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// slug keeps letters and digits of a name, in lower case, with single hyphens
// between.
func slug(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range fold(name) {
		if isWordRune(r) {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
		}
		gap = !isWordRune(r)
	}
	return b.String()
}

func notFound(what string, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s: %w", what, ErrNotFound)
	}
	return err
}
