package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"traplight/internal/atomicfile"
	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/report"
	"traplight/internal/store"
)

// analyse makes the store's analysis of one log: the same report as from files alone, but
// for the ledger, which would take longer than all the rest and is not listed.
func (k *known) analyse(asked string, past []memo) store.Analyse {
	return func(ctx context.Context, path, file string, sum atomicfile.Sum) (*store.Analysis, error) {
		var bases, files []string
		for _, m := range past {
			files = append(files, m.source.Log.File)
			bases = append(bases, m.base)
		}
		q, sheets, err := k.request(ctx, path, file, sum.SHA256, asked, files...)
		if err != nil {
			if _, unread := logfile.OpenContext(ctx, path); unread != nil {
				return nil, unread // whose it is does not matter then
			}
			return nil, err
		}
		q.History, q.Without = files, []string{"ledger"}
		q.past = func(context.Context, ReportRequest) (*Analysis, error) { return recall(past), nil }
		r, err := Report(ctx, q)
		if err != nil && !errors.Is(err, ErrNoPass) {
			return nil, err
		}
		if r.Log.SHA256 != sum.SHA256 {
			return nil, fmt.Errorf("%s: %w", file, store.ErrChanged)
		}
		k.minding.Lock()
		if k.mind == nil {
			k.mind = map[string][]string{}
		}
		k.mind[sum.SHA256] = r.Leading()
		k.minding.Unlock()
		var text bytes.Buffer
		if err := report.WriteJSON(&text, r); err != nil {
			return nil, err
		}
		a := &store.Analysis{Report: text.Bytes(), Car: sheets[0].car}
		if r.Log.Start != nil {
			a.Start = *r.Log.Start
		}
		a.Inputs = withHistory(k.base(sum.SHA256, file, a.Start, sheets), bases)
		for i := range r.Passes {
			if r.Passes[i].LaunchS == nil {
				continue // a run without its launch is told, not kept among the passes
			}
			if r.Passes[i].File == r.Log.File { // a second recorder's log that could not be merged has none
				a.Passes = append(a.Passes, k.row(&r.Passes[i], a.Start))
			}
		}
		dateByOthers(a.Passes)
		dateByAdding(a.Passes, k.addedAt(sum.SHA256, path))
		return a, nil
	}
}

// addedAt is when a log was added: now, where that is being done, in the order in which the logs
// were given.
func (k *known) addedAt(sum, path string) time.Time {
	if at, ok := k.added[sum]; ok {
		return at
	}
	if i, ok := k.turn[path]; ok {
		return k.began.Add(time.Duration(i) * time.Millisecond)
	}
	return time.Now()
}

// minds is what must be settled before the report of a log just analysed is believed.
func (k *known) minds(sum string) []string {
	k.minding.Lock()
	defer k.minding.Unlock()
	return k.mind[sum]
}

// request asks for the report of one log with the store's sheets, and its notes and
// those of its history.
func (k *known) request(ctx context.Context, path, file, sum, asked string, history ...string) (q ReportRequest, sheets []knownSheet, err error) {
	if sheets, err = k.sheetsOf(ctx, path, file, asked); err != nil {
		return q, nil, err
	}
	q.Logs = []string{path}
	for _, j := range k.joined[sum] {
		q.Logs = append(q.Logs, j.path)
	}
	for _, h := range sheets {
		q.Cars = append(q.Cars, h.path)
	}
	text := k.notesOf(file)
	seen := map[string]bool{car.Stem(file): true}
	for _, h := range history {
		if s := car.Stem(h); !seen[s] { // one log packed and plain, or of two recorders, has one note
			seen[s] = true
			text += strings.Join(k.byStem[s], "")
		}
	}
	if text != "" {
		q.Notes = filepath.Join(k.dir, sum[:16], storeNotes)
		err = place(q.Notes, []byte(text))
	}
	return q, sheets, err
}

// base is a hash of what goes into a report besides program and history.
func (k *known) base(sum, file, start string, sheets []knownSheet) string {
	parts := []string{sum, k.notesOf(file), string(k.applied(sheets, file, start))}
	for _, j := range k.joined[sum] {
		parts = append(parts, j.sum)
	}
	return hashOf(parts...)
}

// withHistory adds the history's bases to a log's own.
func withHistory(base string, history []string) string {
	if len(history) == 0 {
		return base
	}
	return hashOf(append([]string{base}, history...)...)
}

// applied is the text of the sheet that Report took.
func (k *known) applied(sheets []knownSheet, file, start string) []byte {
	all := make([]*car.Sheet, len(sheets))
	for i := range sheets {
		all[i] = sheets[i].sheet
	}
	best := pickSheet(all, &logfile.Log{File: file, Start: start}, k.notes)
	for _, h := range sheets {
		if h.sheet == best {
			return h.text
		}
	}
	return nil
}

// hashOf is a SHA-256 over texts and their lengths.
func hashOf(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d %s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// row takes the catalogue's columns from a report.
func (k *known) row(p *report.Pass, start string) store.PassRow {
	row := store.PassRow{Launch: p.LaunchS, Complete: p.Complete}
	if p.Trap != nil {
		row.TrapSpeed, row.TrapSpeedSD = p.Trap.SpeedMps, p.Trap.SDMps
	}
	for i := range p.Splits {
		if s := &p.Splits[i]; s.Mark == "1/2 mile" {
			row.HalfMile, row.HalfMileSD = s.TimeS, s.TimeSDS
		}
	}
	row.Verdict = p.Health.Word()
	if note := k.notes.For(p.File, p.Index); note != nil {
		row.NoteKey, row.Event, row.RunAt = note.ID, note.Event, note.When
	}
	if row.RunAt == "" && p.LaunchS != nil {
		row.RunAt = momentOf(start, *p.LaunchS)
	}
	row.RunAt, _, _ = strings.Cut(strings.Replace(row.RunAt, " ", "T", 1), ".") // store.AddedForm alone has thousandths
	return row
}
