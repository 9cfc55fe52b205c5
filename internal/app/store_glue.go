package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"traplight/internal/atomicfile"
	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/report"
	"traplight/internal/store"
)

// Shop is the store together with what the rooms below make of its files.
// Many goroutines may use it; Add does one thing at a time.
type Shop struct {
	*store.Store
	adding      sync.Mutex
	remembering sync.Mutex
	memos       []memo // analyses that serve as history, the one used last at the end
}

// OpenShop opens the store in a folder ("" for the usual one); with create it makes it
// when there is none. program is kept beside each result.
func OpenShop(ctx context.Context, dir, program string, create bool) (*Shop, error) {
	s, err := store.Open(ctx, store.Options{Dir: dir, Create: create, Program: program})
	if err != nil {
		return nil, err
	}
	return &Shop{Store: s}, nil
}

// Names are the names of all passes that are not in the trash.
func (s *Shop) Names(ctx context.Context) ([]string, error) {
	list, err := s.Passes(ctx, store.Filter{})
	var out []string
	for _, p := range list {
		out = append(out, p.Name)
	}
	return out, err
}

// known is what the store knows of cars and passes at one moment, as files that any
// request can name. Close removes them.
type known struct {
	dir    string
	notes  *car.Notes // all of them
	parts  []car.Part
	common string              // text of the parts that concern every log: strips and events
	byStem map[string][]string // texts of the parts that concern a log, by its stem
	sheets []knownSheet        // of all cars, the revisions of each in order
	joined map[string][]joined // further recorders' logs, by the leading log's sum
	second map[string]bool     // sums of those
}

// joined is a second recorder's log.
type joined struct{ sum, path string }

type knownSheet struct {
	car   string
	path  string
	text  []byte
	sheet *car.Sheet
}

// known writes down what the store knows. Each sheet carries the date from which the
// store says that it holds, and the channels that were corrected for its car.
func (s *Shop) known(ctx context.Context) (k *known, err error) {
	k = &known{}
	if k.dir, err = os.MkdirTemp("", "traplight-"); err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			k.Close()
		}
	}()
	text, err := s.Notes(ctx)
	if err != nil {
		return nil, err
	}
	if k.notes, err = car.ParseNotes(storeNotes, text); err != nil {
		return nil, err
	}
	if k.parts, err = car.SplitNotes(storeNotes, text); err != nil {
		return nil, err
	}
	k.byStem = map[string][]string{}
	for _, p := range k.parts {
		switch text := "[[" + p.Table + "]]\n" + p.Body + "\n"; {
		case p.Table == "strip" || p.Table == "event":
			k.common += text
		case p.Table == "pass" && p.File != "":
			k.byStem[car.Stem(p.File)] = append(k.byStem[car.Stem(p.File)], text)
		}
	}
	if err := k.join(ctx, s); err != nil {
		return nil, err
	}
	cars, err := s.Cars(ctx)
	if err != nil {
		return nil, err
	}
	for i, c := range cars {
		fixes, err := s.Corrections(ctx, c.Name)
		if err != nil {
			return nil, err
		}
		sheets, err := s.Sheets(ctx, c.Name)
		if err != nil {
			return nil, err
		}
		for _, h := range sheets {
			ks := knownSheet{car: c.Name, path: filepath.Join(k.dir, fmt.Sprintf("car-%d-%d", i, h.Revision), filepath.Base(h.File))}
			if ks.text, err = car.WithKnown(h.File, h.Body, h.Valid, fixes); err != nil {
				return nil, err
			}
			if ks.sheet, err = car.ParseSheet(h.File, ks.text); err != nil {
				return nil, err
			}
			if err := place(ks.path, ks.text); err != nil {
				return nil, err
			}
			k.sheets = append(k.sheets, ks)
		}
	}
	return k, nil
}

// join places the logs of second recorders.
func (k *known) join(ctx context.Context, s *Shop) error {
	logs, err := s.Logs(ctx)
	if err != nil {
		return err
	}
	of, second := seconds(logs)
	k.joined, k.second = map[string][]joined{}, second
	for lead, list := range of {
		for _, l := range list {
			path, err := k.log(s, l)
			if err != nil {
				return err
			}
			k.joined[lead] = append(k.joined[lead], joined{l.SHA256, path})
		}
	}
	return nil
}

// storeNotes is what messages call the notes that the store puts together.
const storeNotes = "the store's notes"

// Close removes the files.
func (k *known) Close() { os.RemoveAll(k.dir) }

func place(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return os.WriteFile(path, data, 0o600)
}

// sheetsFor are the sheets of the car of a log: the car asked for, else the one that
// the notes name, else the only one.
func (k *known) sheetsFor(file, asked string) ([]knownSheet, error) {
	var out []knownSheet
	names := map[string]bool{}
	for _, h := range k.sheets {
		names[h.car] = true
		if asked != "" && strings.EqualFold(h.car, asked) {
			out = append(out, h)
		}
	}
	if asked != "" {
		if len(out) == 0 {
			return nil, fmt.Errorf("%s: there is no sheet of a car called %q in the store", file, asked)
		}
		return out, nil
	}
	if len(k.sheets) == 0 {
		return nil, &store.Hinted{Err: fmt.Errorf("%s: the store has no car sheet yet", file), Hint: "add the car's sheet with it: traplight add car.toml " + file + "; `traplight car` prints one to fill in"}
	}
	all := make([]*car.Sheet, len(k.sheets))
	for i := range k.sheets {
		all[i] = k.sheets[i].sheet
	}
	own, err := k.notes.SheetsOf(all, file)
	if err != nil {
		return nil, err
	}
	clear(names)
	for _, h := range k.sheets {
		for _, s := range own {
			if s == h.sheet {
				out = append(out, h)
				names[h.car] = true
			}
		}
	}
	if len(names) > 1 {
		return nil, &store.Hinted{Err: fmt.Errorf("%s: the store has several cars and the notes do not say whose log this is", file), Hint: "name the car with --car, or add notes with file and car of the pass"}
	}
	return out, nil
}

// notesOf is the text of the notes that concern a log: its passes, strips and events.
func (k *known) notesOf(file string) string {
	return k.common + strings.Join(k.byStem[car.Stem(file)], "")
}

// analyse makes the store's analysis of one log: the same report as from files alone, but
// for the ledger, which would take longer than all the rest and is not listed.
func (k *known) analyse(asked string, past []memo) store.Analyse {
	return func(ctx context.Context, path, file string, sum atomicfile.Sum) (*store.Analysis, error) {
		var bases, files []string
		for _, m := range past {
			files = append(files, m.source.Log.File)
			bases = append(bases, m.base)
		}
		q, sheets, err := k.request(path, file, sum.SHA256, asked, files...)
		if err != nil {
			if _, unread := logfile.Open(path); unread != nil {
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
			if r.Passes[i].File == r.Log.File { // a second recorder's log that could not be merged has none
				a.Passes = append(a.Passes, k.row(&r.Passes[i], a.Start))
			}
		}
		dateByOthers(a.Passes)
		return a, nil
	}
}

// request asks for the report of one log with the store's sheets, and its notes and
// those of its history.
func (k *known) request(path, file, sum, asked string, history ...string) (q ReportRequest, sheets []knownSheet, err error) {
	if sheets, err = k.sheetsFor(file, asked); err != nil {
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
	if p.Health != nil && p.Health.Verdict != nil {
		row.Verdict = *p.Health.Verdict
	}
	if note := k.notes.For(p.File, p.Index); note != nil {
		row.NoteKey, row.Event, row.RunAt = note.ID, note.Event, note.When
	}
	if row.RunAt == "" && p.LaunchS != nil {
		row.RunAt = momentOf(start, *p.LaunchS)
	}
	row.RunAt = strings.Replace(row.RunAt, " ", "T", 1)
	return row
}
