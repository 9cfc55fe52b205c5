package app

import (
	"context"
	"fmt"
	"io"
	"strings"

	"traplight/internal/report"
	"traplight/internal/setup"
)

// SetupRequest asks with which settings passes were run.
type SetupRequest struct {
	Logs  []string          // paths, ":2" behind one picks its second pass
	Cars  []string          // as in ReportRequest
	Notes string            // path of a notes file; "" none
	CarOf map[string]string // as in ReportRequest
	// Progress is as in ReportRequest.
	Progress func(log string, done, of int)
}

// SetupAnswer is the settings of every pass asked for.
type SetupAnswer struct {
	Car, Units string // the first sheet's
	Passes     []setup.Pass
	Notes      []string
}

// Setup reads the logs and tells the settings of each pass.
func Setup(ctx context.Context, q SetupRequest) (*SetupAnswer, error) {
	var paths []string
	var picked []int
	for _, l := range q.Logs {
		path, n, err := pickOf(l)
		if err != nil {
			return nil, err
		}
		paths, picked = append(paths, path), append(picked, n-1)
	}
	a, err := Analyse(ctx, ReportRequest{Logs: paths, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	several := map[string]bool{}
	for _, s := range a.Sources {
		several[s.Log.File] = len(s.Passes) > 1
	}
	pick(a.Sources, picked)
	out := &SetupAnswer{Notes: a.First}
	for _, s := range a.Sources {
		if out.Car == "" && s.Sheet != nil {
			out.Car, out.Units = s.Sheet.Name, s.Sheet.Units
		}
		for i, p := range s.Passes {
			name := s.Log.File
			if several[s.Log.File] {
				name += fmt.Sprintf(" pass %d", p.Index+1)
			}
			out.Passes = append(out.Passes, setup.Pass{Name: name, Settings: s.Setup[i]})
		}
	}
	if len(out.Passes) == 0 {
		return nil, fmt.Errorf("%s: %w", strings.Join(a.names(), ", "), ErrNoPass)
	}
	return out, nil
}

// WriteText prints the settings in the units asked for.
func (a *SetupAnswer) WriteText(w io.Writer, units string) error {
	return setup.WriteText(w, report.World(units, a.Units), a.Passes)
}

// WriteJSON prints the settings, all SI, with what differs from the first pass.
func (a *SetupAnswer) WriteJSON(w io.Writer) error {
	type change struct {
		Name   string  `json:"name"`
		Gear   *int    `json:"gear"`
		Unit   string  `json:"unit"`
		From   float64 `json:"from"`
		To     float64 `json:"to"`
		Source string  `json:"source"` // notes or log
	}
	type pass struct {
		Name     string           `json:"pass"`
		Settings []report.Setting `json:"settings"`
		Changes  []change         `json:"changes,omitempty"` // against the first
	}
	out := struct {
		Car    string   `json:"car"`
		Passes []pass   `json:"passes"`
		Notes  []string `json:"notes"`
	}{a.Car, []pass{}, append([]string{}, a.Notes...)}
	for i, p := range a.Passes {
		one := pass{Name: p.Name, Settings: report.Settings(p.Settings)}
		if i > 0 {
			one.Changes = []change{}
			for _, c := range setup.Differ(a.Passes[0].Settings, p.Settings) {
				s := report.Settings([]setup.Setting{c.Setting})[0]
				source := "notes"
				if c.Logged {
					source = "log"
				}
				one.Changes = append(one.Changes, change{s.Name, s.Gear, s.Unit, c.From, c.To, source})
			}
		}
		out.Passes = append(out.Passes, one)
	}
	return report.WriteJSON(w, out)
}
