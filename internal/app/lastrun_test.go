package app

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/pass"
	"traplight/internal/report"
)

// The last run decides whether there may be a card, so the order must not hang on what
// files are called, nor on which passes teach the model anything.
func TestOrderOfRuns(t *testing.T) {
	source := func(file, start string, passes int) report.Source {
		s := report.Source{Log: &logfile.Log{File: file, Start: start}}
		for i := range passes {
			s.Passes = append(s.Passes, &pass.Pass{Index: i})
		}
		return s
	}
	notes, err := car.ParseNotes("notes.toml", []byte("[[pass]]\nfile = \"b.csv\"\nwhen = 2031-05-17T12:00:00\n"))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		sources []report.Source
		last    string
		index   int
	}{
		"by the logs' own dates":              {[]report.Source{source("z.csv", "2031-05-17T10:00:00", 1), source("a.csv", "2031-05-17T11:00:00", 2)}, "a.csv", 1},
		"by the notes before the log's date":  {[]report.Source{source("b.csv", "2031-05-17T09:00:00", 1), source("a.csv", "2031-05-17T11:00:00", 1)}, "b.csv", 0},
		"as given where one cannot be placed": {[]report.Source{source("z.csv", "", 1), source("a.csv", "2031-05-17T11:00:00", 1), source("m.csv", "", 1)}, "m.csv", 0},
	} {
		all := ranPasses(&Analysis{Sources: c.sources}, notes)
		if got := all[len(all)-1]; got.file != c.last || got.index != c.index {
			t.Errorf("%s: the last run is %s, pass %d", name, got.file, got.index+1)
		}
	}
}
