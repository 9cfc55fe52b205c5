package app

import (
	"errors"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/pass"
)

var errNotWired = errors.New("this build cannot read logs")

var (
	openLog           = logfile.Open
	identify          = func(*logfile.Log, *car.Sheet) (*dictionary.Set, error) { return nil, errNotWired }
	loadSheet         = car.LoadSheet
	loadNotes         = car.LoadNotes
	reconstructPasses = func(*dictionary.Set, *car.Sheet, *car.Notes, string) ([]*pass.Pass, []string, error) {
		return nil, nil, errNotWired
	}
)
