package app

import (
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"traplight/internal/compare"
	"traplight/internal/quantity"
)

// CompareRequest asks for passes laid over each other.
type CompareRequest struct {
	// Logs are paths; ":2" behind one picks its second pass, none picks them all.
	Logs  []string
	Cars  []string          // as in ReportRequest
	Notes string            // path of a notes file; "" none
	CarOf map[string]string // as in ReportRequest
	// Progress is as in ReportRequest.
	Progress func(log string, done, of int)
}

// Compared is the answer to a CompareRequest.
type Compared struct {
	*compare.Comparison
	Car, Units string   // the first sheet's
	Notes      []string // what was assumed, a sentence each
}

// Compare reconstructs the passes and compares them with the first.
func Compare(ctx context.Context, q CompareRequest) (*Compared, error) {
	var paths []string
	picked := make([]int, 0, len(q.Logs))
	for _, l := range q.Logs {
		path, n, err := pickOf(l)
		if err != nil {
			return nil, err
		}
		paths = append(paths, path)
		picked = append(picked, n)
	}
	a, err := Analyse(ctx, ReportRequest{Logs: paths, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	out := &Compared{Notes: append([]string{}, a.First...)}
	var passes []compare.Pass
	for i, s := range a.Sources {
		if s.Sheet != nil && out.Car == "" {
			out.Car, out.Units = s.Sheet.Name, s.Sheet.Units
		}
		stem := strings.TrimSuffix(s.Log.File, filepath.Ext(s.Log.File))
		if picked[i] > len(s.Passes) {
			return nil, fmt.Errorf("%s: it holds %s, there is no number %d", s.Log.File, quantity.Count(len(s.Passes), "pass", "passes"), picked[i])
		}
		for k, p := range s.Passes {
			if picked[i] > 0 && k+1 != picked[i] {
				continue
			}
			name := stem
			if len(s.Passes) > 1 {
				name += fmt.Sprintf(" pass %d", k+1)
			}
			passes = append(passes, compare.Pass{Name: name, Pass: p})
			for _, n := range p.Notes {
				out.Notes = append(out.Notes, name+": "+n)
			}
		}
	}
	if len(passes) < 2 {
		return nil, fmt.Errorf("%s: %d pass found; a comparison needs two", strings.Join(a.names(), ", "), len(passes))
	}
	out.Comparison, err = compare.Along(passes)
	return out, err
}

// pickOf cuts "log.csv:2" into the path and the number, from 1; 0 for all.
func pickOf(arg string) (path string, n int, err error) {
	i := strings.LastIndexByte(arg, ':')
	if i < 0 {
		return arg, 0, nil
	}
	n, err = strconv.Atoi(arg[i+1:])
	if err != nil {
		// A name that happens to hold the sign.
		return arg, 0, nil
	}
	if n < 1 {
		return "", 0, fmt.Errorf("%s: passes are numbered from 1", arg)
	}
	return arg[:i], n, nil
}
