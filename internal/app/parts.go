package app

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/life"
	"traplight/internal/store"
)

// PartsRequest asks what the parts of a file have endured.
type PartsRequest struct {
	Parts string            // path of the parts file
	Cars  []string          // paths of car sheets; none is needed without logs
	Notes string            // path of a notes file; "" none
	Logs  []string          // paths of the logs of the passes; may be empty
	Picks []int             // as in ReportRequest
	CarOf map[string]string // as in ReportRequest
	// Progress is as in ReportRequest.
	Progress func(log string, done, of int)
}

// PartsAnswer is the answer with the units of the car's people.
type PartsAnswer struct {
	*life.Result
	Units string
}

// Parts tells what the parts have endured in the passes of the logs, and in those that the
// notes name without a log.
func Parts(ctx context.Context, q PartsRequest) (*PartsAnswer, error) {
	file, err := car.LoadParts(q.Parts)
	if err == nil && len(file.Parts) == 0 && len(file.Unread) > 0 {
		err = fmt.Errorf("%s holds no [[part]]: `traplight help life` tells the form of a parts file", filepath.Base(q.Parts))
	}
	if err != nil {
		return nil, err
	}
	out := &PartsAnswer{}
	var passes []life.Pass
	var told []string
	if len(q.Logs) > 0 {
		a, err := Analyse(ctx, ReportRequest{Logs: q.Logs, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress})
		if err != nil {
			return nil, err
		}
		pick(a.Sources, q.Picks)
		told = append(told, a.First...)
		var notes *car.Notes
		if q.Notes != "" {
			if notes, err = car.LoadNotes(q.Notes); err != nil {
				return nil, err
			}
		}
		for _, s := range a.Sources {
			if out.Units == "" && s.Sheet != nil {
				out.Units = s.Sheet.Units
			}
			for _, p := range s.Passes {
				lp := life.FromPass(p, s.Set, s.Sheet)
				lp.Name, lp.When, lp.Car = s.Log.File, s.Log.Start, s.Sheet.Name
				if p.Index > 0 {
					lp.Name += " #" + string(rune('1'+p.Index))
				}
				if n := notes.For(s.Log.File, p.Index); n != nil {
					if n.When != "" {
						lp.When = n.When
					}
					if n.Car != "" {
						lp.Car = n.Car
					}
				}
				passes = append(passes, lp)
			}
		}
	}
	if q.Notes != "" {
		more, err := noted(q)
		if err != nil {
			return nil, err
		}
		passes = append(passes, more...)
	}
	slices.SortStableFunc(passes, func(a, b life.Pass) int {
		return cmp.Compare(strings.Replace(a.When, "T", " ", 1), strings.Replace(b.When, "T", " ", 1))
	})
	if err := oneOwner(file, passes); err != nil {
		return nil, err
	}
	out.Result = life.Assess(file, passes)
	if len(passes) == 0 {
		told = append(told, "no log was given: name those of the passes that the parts were in, or count all in the store (--stored)")
	}
	out.Notes = append(told, out.Notes...)
	return out, nil
}

// oneOwner refuses to count the passes of several cars for a part that does not say whose it is.
func oneOwner(file *car.Parts, passes []life.Pass) error {
	var cars []string
	for _, p := range passes {
		if p.Car != "" && !slices.ContainsFunc(cars, func(c string) bool { return strings.EqualFold(c, p.Car) }) {
			cars = append(cars, p.Car)
		}
	}
	for _, p := range file.Parts {
		if p.Car == "" && len(cars) > 1 {
			return &store.Hinted{Err: fmt.Errorf("%s: the passes are of %s, and nothing says of which car %s is", file.File, strings.Join(cars, ", "), p.Serial),
				Hint: "say so by a line car = \"...\" in each [[part]], or, with --stored, by --car and the car's name"}
		}
	}
	return nil
}

// noted are the passes that the notes name and of which no log was given.
func noted(q PartsRequest) ([]life.Pass, error) {
	notes, err := car.LoadNotes(q.Notes)
	if err != nil {
		return nil, err
	}
	var sheets []*car.Sheet
	for _, path := range q.Cars {
		s, err := car.LoadSheet(path)
		if err != nil {
			return nil, err
		}
		sheets = append(sheets, s)
	}
	var out []life.Pass
	for i := range notes.Passes {
		n := &notes.Passes[i]
		if n.File == "" && n.ID == "" {
			continue
		}
		if _, other := notes.SheetsOf(sheets, n.File); len(sheets) > 0 && other != nil {
			continue // another car's pass
		}
		given := slices.ContainsFunc(q.Logs, func(l string) bool { return n.File != "" && notes.For(l, n.Index) == n })
		if !given {
			out = append(out, life.Pass{Name: cmp.Or(n.File, n.ID), When: n.When, Car: n.Car, NoLog: true})
		}
	}
	return out, nil
}
