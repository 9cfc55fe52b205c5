package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
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

// NamesOf are the names of the passes of a car, given by its name or its sheets' paths, or of all
// with nil, that are not in the trash.
func (s *Shop) NamesOf(ctx context.Context, cars []string) ([]string, error) {
	owner := ""
	for _, c := range cars {
		if owner = filepath.Base(c); inbox.IsSheetOrNotes(c) {
			sheet, err := car.LoadUsableSheet(c)
			if err != nil {
				return nil, err
			}
			owner = sheet.Name
		}
	}
	list, err := s.Passes(ctx, store.Filter{Car: owner})
	if err == nil && owner != "" && len(list) == 0 {
		err = &store.Hinted{Err: fmt.Errorf("the store has no pass of a car called %q", owner), Hint: "`traplight passes --cars` lists the cars"}
	}
	var out []string
	for _, p := range list {
		out = append(out, p.Name)
	}
	return out, err
}

// Why files could not be added, for those who tell it in their own words.
var (
	ErrNoSheetYet = errors.New("the store has no car sheet yet")
	ErrWhose      = errors.New("the store has several cars and nothing says whose this is")
)

// known is what the store knows of cars and passes at one moment, as files that any
// request can name. Close removes them.
type known struct {
	dir    string
	notes  *car.Notes // all of them
	parts  []car.Part
	common string               // text of the parts that concern every log: strips and events
	byStem map[string][]string  // texts of the parts that concern a log, by its stem
	sheets []knownSheet         // of all cars, the revisions of each in order
	joined map[string][]joined  // further recorders' logs, by the leading log's sum
	second map[string]bool      // sums of those
	added  map[string]time.Time // by a log's sum, when it was added
	began  time.Time            // when the addition that goes on was begun
	turn   map[string]int       // by path, the log's place in it
	beside string               // the car whose sheet came with the logs; "" none or several

	minding sync.Mutex
	mind    map[string][]string // by a log's sum, what stands first in its report
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
	defer func(made *known) {
		if err != nil {
			made.Close()
		}
	}(k)
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
	logs, err := s.Logs(ctx)
	if err != nil {
		return nil, err
	}
	k.added = map[string]time.Time{}
	for _, l := range logs {
		if at, err := time.Parse(time.RFC3339, l.AddedAt); err == nil {
			k.added[l.SHA256] = at
		}
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
// the notes name, else the one whose sheet came with it, else the only one.
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
		return nil, &store.Hinted{Err: fmt.Errorf("%s: %w", file, ErrNoSheetYet), Hint: "name the car's sheet with --car, or keep both: traplight add car.toml " + file + "; `traplight car` prints a sheet to fill in"}
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
	if names[k.beside] {
		return slices.DeleteFunc(out, func(h knownSheet) bool { return h.car != k.beside }), nil
	}
	if len(names) > 1 {
		return nil, &store.Hinted{Err: fmt.Errorf("%s: %w", file, ErrWhose), Hint: "name the car with --car, or add notes with file and car of the pass"}
	}
	return out, nil
}

// sheetsOf is sheetsFor where, before it is given up, the log's own head may name the car.
func (k *known) sheetsOf(ctx context.Context, path, file, asked string) ([]knownSheet, error) {
	sheets, err := k.sheetsFor(file, asked)
	if !errors.Is(err, ErrWhose) {
		return sheets, err
	}
	log, unread := logfile.OpenContext(ctx, path)
	if unread != nil {
		return nil, unread // whose it is does not matter then
	}
	if name := k.namedIn(log); name != "" {
		return k.sheetsFor(file, name)
	}
	return nil, err
}

// namedIn is the one car of the store whose name stands in the head of a log, "" when none or
// several do.
func (k *known) namedIn(log *logfile.Log) (name string) {
	for _, said := range log.Meta {
		for _, h := range k.sheets {
			if strings.EqualFold(strings.TrimSpace(said), h.car) && h.car != name {
				if name != "" {
					return ""
				}
				name = h.car
			}
		}
	}
	return name
}

// notesOf is the text of the notes that concern a log: its passes, strips and events.
func (k *known) notesOf(file string) string {
	return k.common + strings.Join(k.byStem[car.Stem(file)], "")
}
