package app

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
)

// AddRequest asks to take files into the store.
type AddRequest struct {
	// Paths are logs, car sheets, notes, parts files, and folders of such.
	Paths []string
	// Car is the name of the car whose logs these are, or the path of its sheet; "" lets
	// the notes say, or the store's only car be meant.
	Car string
	// From is the moment from which a sheet holds that does not say so itself, "always"
	// for a correction; "" as store.AddSheet does it.
	From string
	// Again makes every report anew that another version of the program has made.
	Again bool
	// Together says that the logs are several recorders' of the same passes.
	Together bool
	// watched: old copies of notes must not undo newer ones
	watched bool
}

// Added is told of each thing done.
type Added struct {
	Kind    string   `json:"kind"` // "sheet", "notes", "parts", "log" or "report"
	File    string   `json:"file"`
	Outcome string   `json:"outcome"`       // a few words
	Car     string   `json:"car,omitempty"` // whose parts these are
	Passes  []string `json:"passes,omitempty"`
	Error   string   `json:"error,omitempty"` // why it was not done
	Mind    []string `json:"mind,omitempty"`  // what must be settled before its report is believed
	Done    int      `json:"done"`            // of the logs, or of the reports to make anew
	Total   int      `json:"total"`
	Err     error    `json:"-"`
}

// Add takes files into the store: sheets and notes first, then the logs, then it makes the
// reports anew that any of them concerns: those of passes whose sheet, notes or history
// have changed. One file that cannot be read does not stop the others;
// failed counts them. An error means that nothing more could be done.
func (s *Shop) Add(ctx context.Context, q AddRequest, tell func(Added)) (failed int, err error) {
	s.adding.Lock()
	defer s.adding.Unlock()
	out := func(a Added) {
		if a.Err != nil {
			a.Error = a.Err.Error()
			failed++
		}
		tell(a)
	}
	files, skipped, err := inbox.Collect(q.Paths)
	if err != nil {
		return 0, err
	}
	if skipped > 0 {
		out(Added{Kind: "other", Outcome: quantity.Count(skipped, "other file in the folders was", "other files in the folders were") + " passed over"})
	}
	asked := q.Car
	if inbox.IsSheetOrNotes(q.Car) {
		sheet, a := s.addSheet(ctx, q.Car, q.From)
		out(a)
		if a.Err != nil {
			return failed, nil
		}
		asked = sheet
	}
	b := sortOut(files)
	beside, err := s.addTexts(ctx, q, b.texts, out)
	if err != nil {
		return failed, err
	}
	for _, f := range b.parts { // after the sheet that comes with them
		out(s.addParts(ctx, f, asked, beside, q.watched))
	}
	k, err := s.known(ctx)
	if err != nil {
		return failed, err
	}
	defer k.Close()
	k.beside, k.began, k.turn = beside, time.Now(), map[string]int{}
	for i, path := range b.logs {
		k.turn[path] = i
	}
	fresh, sums, err := s.addLogs(ctx, k, asked, b, out)
	if err != nil {
		return failed, err
	}
	if q.Together {
		line, err := s.join(ctx, sums)
		if err != nil {
			return failed, err
		}
		file, outcome, _ := strings.Cut(line, ": ")
		out(Added{Kind: "together", File: file, Outcome: outcome})
		if err := k.join(ctx, s); err != nil {
			return failed, err
		}
	}
	if err := s.renew(ctx, k, q.Again, fresh, out); err != nil {
		return failed, err
	}
	return failed, s.inspected(ctx, k)
}

// batch is files by what they are.
type batch struct {
	texts []inbox.File // sheets and notes
	parts []inbox.File
	logs  []string
	prose map[string]bool // logs that nobody named and that may hold words
}

func sortOut(files []inbox.File) batch {
	b := batch{prose: map[string]bool{}}
	for _, f := range files {
		switch {
		case !inbox.IsSheetOrNotes(f.Path):
			b.logs = append(b.logs, f.Path)
			b.prose[f.Path] = !f.Named && inbox.MayBeProse(f.Path)
		case holdsParts(f.Path):
			b.parts = append(b.parts, f)
		default:
			b.texts = append(b.texts, f)
		}
	}
	return b
}

// addTexts adds sheets and notes and gives the one car whose sheet is among them, "" for none or
// several.
func (s *Shop) addTexts(ctx context.Context, q AddRequest, texts []inbox.File, out func(Added)) (beside string, err error) {
	with := map[string]bool{}
	for _, f := range texts {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		sheet, a := s.addText(ctx, f, q)
		if out(a); sheet != "" && !q.watched {
			with[sheet] = true
		}
	}
	if len(with) == 1 {
		beside = slices.Collect(maps.Keys(with))[0]
	}
	return beside, ctx.Err()
}

// addLogs adds logs. It gives the sums of those that are in the store now, and which of them were
// not before.
func (s *Shop) addLogs(ctx context.Context, k *known, asked string, b batch, out func(Added)) (fresh map[string]bool, sums []string, err error) {
	fresh = map[string]bool{}
	err = s.AddAll(ctx, b.logs, k.analyse(asked, nil), func(p store.Progress) {
		path := b.logs[p.Done-1]
		if b.prose[path] && (errors.Is(p.Err, logfile.ErrNoTable) || errors.Is(p.Err, logfile.ErrNoClock)) {
			out(Added{Kind: "other", Outcome: filepath.Base(path) + " in the folder was passed over: it holds no log"})
			return
		}
		fresh[p.Addition.SHA256] = p.Addition.Outcome == store.Added
		if p.Err == nil {
			sums = append(sums, p.Addition.SHA256)
		}
		out(Added{Kind: "log", File: p.Addition.File, Outcome: string(p.Addition.Outcome), Passes: p.Addition.Passes, Mind: k.minds(p.Addition.SHA256), Err: p.Err, Done: p.Done, Total: p.Total})
	})
	return fresh, sums, err
}

// addText adds a sheet or notes, whichever the file is; of a sheet it gives the car's name.
func (s *Shop) addText(ctx context.Context, f inbox.File, q AddRequest) (sheet string, a Added) {
	a = Added{Kind: "notes", File: filepath.Base(f.Path)}
	data, err := os.ReadFile(f.Path)
	if err != nil {
		a.Err = fmt.Errorf("%s: %w", f.Path, errors.Unwrap(err))
		return "", a
	}
	notes, err := car.IsNotes(a.File, data)
	if err != nil {
		a.Err = err
		return "", a
	}
	if notes {
		return "", s.addNotes(ctx, f, q, data)
	}
	return s.addSheet(ctx, f.Path, q.From)
}

// addNotes adds the entries of a notes file.
func (s *Shop) addNotes(ctx context.Context, f inbox.File, q AddRequest, data []byte) Added {
	a := Added{Kind: "notes", File: filepath.Base(f.Path)}
	parts, err := car.SplitNotes(a.File, data)
	if err != nil {
		a.Err = err
		return a
	}
	var entries []store.Entry
	for _, p := range parts {
		e := store.Entry{Kind: store.Kind(p.Table), Key: p.ID, Body: p.Body}
		if e.Key == "" && p.File != "" {
			e.Key = fmt.Sprintf("%s#%d", p.File, p.Index)
		}
		if e.Key == "" {
			a.Err = &store.Hinted{Err: fmt.Errorf("%s: a [[%s]] has neither id nor file", a.File, p.Table), Hint: `give it a line such as id = "a01"`}
			return a
		}
		entries = append(entries, e)
	}
	changed, err := s.AddNotes(ctx, a.File, data, entries, !f.Named || q.watched)
	a.Err = err
	switch n := len(changed); {
	case n == 0:
		a.Outcome = "known"
	default:
		a.Outcome = fmt.Sprintf("%d of %d entries new or changed", n, len(entries))
	}
	if n, err := car.ParseNotes(a.File, data); err == nil {
		a.unread(a.File, n.Unread)
	}
	return a
}

// unread tells of keys that were not understood.
func (a *Added) unread(file string, keys []car.Unread) {
	for _, u := range keys {
		a.Mind = append(a.Mind, u.Sentence(file))
	}
}

// addSheet adds a car sheet; name is the car's.
func (s *Shop) addSheet(ctx context.Context, path, from string) (name string, a Added) {
	a = Added{Kind: "sheet", File: filepath.Base(path)}
	sheet, err := car.LoadSheet(path)
	if err != nil {
		a.Err = err
		return "", a
	}
	if from != "" && sheet.ValidFrom != "" && from != sheet.ValidFrom {
		a.Err = fmt.Errorf("%s: valid_from says %s; change it there, or leave --from out", a.File, sheet.ValidFrom)
		return "", a
	}
	data, err := os.ReadFile(path)
	if err != nil {
		a.Err = err
		return "", a
	}
	if a.Err = noSheet(sheet, data); a.Err != nil {
		return "", a
	}
	in := store.Sheet{Car: sheet.Name, Label: sheet.Revision, Valid: sheet.ValidFrom, File: a.File, Body: data}
	if from != "" {
		in.Valid = from
	}
	got, isNew, err := s.AddSheet(ctx, in)
	a.Err = err
	holds := "always"
	if got.Valid != "" {
		holds = "from " + strings.Replace(got.Valid, "T", " ", 1)
	}
	a.Outcome = fmt.Sprintf("%s, revision %d, holds %s", got.Car, got.Revision, holds)
	if !isNew {
		a.Outcome += " (known)"
	}
	a.unread(sheet.File, sheet.Unread)
	return sheet.Name, a
}

// inspected enters what the notes say was inspected after a pass.
func (s *Shop) inspected(ctx context.Context, k *known) error {
	passes, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	for _, p := range passes {
		note := k.notes.ByID(p.NoteKey)
		if note == nil || note.Inspected == "" {
			continue
		}
		have, err := s.Inspections(ctx, p.Name)
		if err != nil {
			return err
		}
		known := false
		for _, h := range have {
			known = known || h.Found == note.Inspected
		}
		if known {
			continue
		}
		if err := s.RecordInspection(ctx, p.Name, note.Inspected, "notes"); err != nil {
			return err
		}
	}
	return nil
}

// Watch adds what appears in folders until ctx ends.
func (s *Shop) Watch(ctx context.Context, q AddRequest, w inbox.Watcher, tell func(Added)) error {
	q.watched = true
	err := w.Run(ctx, func(files []inbox.File) {
		q := q
		q.Paths = nil
		for _, f := range files {
			q.Paths = append(q.Paths, f.Path)
		}
		if _, err := s.Add(ctx, q, tell); err != nil && ctx.Err() == nil {
			tell(Added{Kind: "other", Outcome: "not added", Err: err, Error: err.Error()})
		}
	})
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
