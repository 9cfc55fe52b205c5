package app

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/logfile"
)

// LoadSheet reads a car sheet.
func LoadSheet(path string) (*car.Sheet, error) { return car.LoadSheet(path) }

// LoadNotes reads a notes file; a value that cannot be is left out and told in its notes.
func LoadNotes(path string) (*car.Notes, error) {
	n, err := car.LoadUsableNotes(path)
	if err != nil {
		return nil, notTOML(path, "notes file", "--notes", err)
	}
	if len(n.Passes)+len(n.Planned)+len(n.Strips)+len(n.Events) > 0 {
		return n, nil
	}
	if holdsParts(path) {
		return nil, fmt.Errorf("%s holds parts, not notes: `traplight parts` reads it", filepath.Base(path))
	}
	if len(n.Unread) > 2 {
		return nil, fmt.Errorf("%s holds no [[pass]], [[planned]], [[strip]] or [[event]]: is it a car sheet? --car names that", filepath.Base(path))
	}
	return n, nil
}

// notTOML says of a file that is no TOML, and is not called so, that another was meant.
func notTOML(path, what, flag string, err error) error {
	if errors.Is(err, car.ErrSyntax) && !strings.EqualFold(filepath.Ext(path), ".toml") {
		return fmt.Errorf("%s is no %s; %s names a TOML file (%w)", filepath.Base(path), what, flag, err)
	}
	return err
}

// notALog says of a sheet, notes or a folder that no log was given; nil for anything else.
func notALog(path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder: name the logs in it, or take it into the store with `traplight add %s`", path, path)
	}
	if strings.EqualFold(filepath.Ext(path), ".toml") {
		return fmt.Errorf("%s is a car sheet or notes, not a log: --car or --notes names it", filepath.Base(path))
	}
	return nil
}

// loadSheets reads car sheets; a value that cannot be is left out and told in their notes.
func loadSheets(paths []string) ([]*car.Sheet, error) {
	if len(paths) == 0 {
		return nil, errors.New("no car sheet given: --car names one, and `traplight car` prints one to fill in")
	}
	var out []*car.Sheet
	for _, p := range paths {
		s, err := car.LoadUsableSheet(p)
		if err != nil {
			return nil, notTOML(p, "car sheet", "--car", err)
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return nil, err
		}
		if err := noSheet(s, data); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// noSheet says of a file of another kind that it is no car sheet; nil of a sheet.
func noSheet(s *car.Sheet, data []byte) error {
	if notes, _ := car.IsNotes(s.File, data); notes {
		return fmt.Errorf("%s holds notes, not a car sheet: --notes names it", s.File)
	}
	if parts, _ := car.IsParts(s.File, data); parts {
		return fmt.Errorf("%s holds parts, not a car sheet: `traplight parts` reads it", s.File)
	}
	typo := func(u car.Unread) bool { return u.Nearest != "" }
	if len(s.Read) == 0 && len(s.Unread) > 0 && !slices.ContainsFunc(s.Unread, typo) {
		u := s.Unread[0]
		return fmt.Errorf("%s holds nothing that a car sheet does; it begins with %s in line %d: `traplight car` prints a sheet to fill in", s.File, u.Key, u.Line)
	}
	return nil
}

// pickSheet takes the sheet that applies to a log: the latest that was valid
// when the pass was run, by the notes' time for that file or else by the log's.
func pickSheet(sheets []*car.Sheet, log *logfile.Log, notes *car.Notes) *car.Sheet {
	when := log.Start
	for _, n := range notes.OfLog(log.File) {
		if n.When != "" {
			when = n.When
			break
		}
	}
	return car.Latest(sheets, when)
}

// ofCar are the sheets of a car; all when there are none, or no car is named.
func ofCar(sheets []*car.Sheet, name string) []*car.Sheet {
	var own []*car.Sheet
	for _, s := range sheets {
		if name != "" && strings.EqualFold(s.Name, name) {
			own = append(own, s)
		}
	}
	if len(own) == 0 {
		return sheets
	}
	return own
}

// unknownCar is the sheet of a car of which nothing is written down.
func unknownCar() *car.Sheet {
	s, err := car.ParseSheet("no sheet", nil)
	if err != nil { // the empty sheet is valid; its test holds that
		return &car.Sheet{}
	}
	s.Name = "car without a sheet"
	return s
}
