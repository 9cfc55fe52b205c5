package app

import (
	"errors"
	"strings"

	"traplight/internal/car"
	"traplight/internal/logfile"
)

// LoadSheet reads a car sheet.
func LoadSheet(path string) (*car.Sheet, error) { return car.LoadSheet(path) }

// LoadNotes reads a notes file.
func LoadNotes(path string) (*car.Notes, error) { return car.LoadNotes(path) }

func loadSheets(paths []string) ([]*car.Sheet, error) {
	if len(paths) == 0 {
		return nil, errors.New("no car sheet given: --car names one, and `traplight car` prints one to fill in")
	}
	var out []*car.Sheet
	for _, p := range paths {
		s, err := car.LoadSheet(p)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
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
