package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
)

// Named is what a command was asked for, as files: logs given as files stay, passes given
// by name come out of the store with their sheets and notes.
type Named struct {
	Logs  []string
	Cars  []string
	Notes string
	// Picks[i] is the number of the pass asked for in Logs[i], from 0; -1 for all.
	Picks []int
	// Passes are the catalogue's lines of those that came by name.
	Passes []store.Pass
	// History are the logs of the same car against which the store holds the earliest of
	// Passes; none when nothing came by name.
	History []string
	// CarOf is whose log each path of the store is.
	CarOf map[string]string
	// Inspected is what the store holds of inspections, the last of each pass.
	Inspected map[RunKey]string
	// Said are the forecasts that the store holds, with their scores.
	Said []forecast.Record
	k    *known
}

// Close removes the files that were made; n may be nil.
func (n *Named) Close() {
	if n != nil && n.k != nil {
		n.k.Close()
	}
}

// Resolve turns what was typed into files. args are paths of logs, ":2" behind one for its
// second pass alone, or names of passes; cars, paths of sheets or the name of one in the store,
// and notes, when given, win over the store's. dir is the data folder, "" for the usual one.
// A store is opened only when something is wanted of it. Close the result.
func Resolve(ctx context.Context, dir, program string, args, cars []string, notes string) (*Named, error) {
	asked := "" // a car of the store by its name
	if len(cars) == 1 && !inbox.IsSheetOrNotes(cars[0]) {
		if _, err := os.Stat(cars[0]); err != nil {
			asked, cars = filepath.Base(cars[0]), nil
		}
	}
	n := &Named{Cars: cars, Notes: notes, CarOf: map[string]string{}}
	var names []string
	for _, a := range args {
		if a == "-" {
			return nil, errors.New("a log is read twice, and standard input can be read but once: save it as a file first")
		}
		if path, number, err := fileOf(a); err != nil {
			return nil, err
		} else if path == "" {
			names = append(names, a)
		} else if len(cars) > 0 {
			n.Logs, n.Picks = append(n.Logs, path), append(n.Picks, number)
		}
	}
	if len(names) == 0 && len(cars) > 0 {
		return n, nil
	}
	n.Logs, n.Picks = nil, nil
	s, err := OpenShop(ctx, dir, program, false)
	if err != nil {
		if asked != "" {
			return nil, fmt.Errorf("%s: no such file, and in %w", asked, err)
		}
		if len(names) > 0 {
			return nil, fmt.Errorf("%s: no such file, and in %w", filepath.Base(names[0]), err)
		}
		// files alone and no store: the report goes on with the stated defaults
		for _, a := range args {
			path, number, err := fileOf(a)
			if err != nil {
				return nil, err
			}
			n.Logs, n.Picks = append(n.Logs, path), append(n.Picks, number)
		}
		return n, nil
	}
	defer s.Close()
	if n.k, err = s.known(ctx); err != nil {
		return nil, err
	}
	if err := n.resolve(ctx, s, args, asked); err != nil {
		n.Close()
		return nil, err
	}
	if err := n.inspections(ctx, s); err != nil {
		n.Close()
		return nil, err
	}
	if n.Said, err = s.Said(ctx); err != nil {
		n.Close()
		return nil, err
	}
	return n, nil
}

// inspections takes what was entered after the passes that were not simply clear.
func (n *Named) inspections(ctx context.Context, s *Shop) error {
	all, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	n.Inspected = map[RunKey]string{}
	for _, p := range all {
		if p.Verdict == string(health.Clear) {
			continue
		}
		seen, err := s.Inspections(ctx, p.Name)
		if err != nil {
			return err
		}
		if len(seen) > 0 {
			n.Inspected[RunKey{p.SHA256, p.Number}] = seen[len(seen)-1].Found
		}
	}
	return nil
}

// fileOf is the log that an argument names, and the number of the pass wanted, from 0, or -1
// for all; "" when it names no file.
func fileOf(arg string) (path string, number int, err error) {
	if _, err := os.Stat(arg); err == nil {
		return arg, -1, nil
	}
	path, n, err := pickOf(arg)
	if err != nil {
		return "", 0, err
	}
	if _, err := os.Stat(path); err != nil {
		return "", 0, nil
	}
	return path, n - 1, nil
}

// Numbered are the logs with ":2" behind those of which one pass is wanted.
func (n *Named) Numbered() []string {
	out := make([]string, len(n.Logs))
	for i, l := range n.Logs {
		out[i] = l
		if n.Picks[i] >= 0 {
			out[i] += fmt.Sprintf(":%d", n.Picks[i]+1)
		}
	}
	return out
}

// Whole are the logs, each once.
func (n *Named) Whole() []string {
	var out []string
	for _, l := range n.Logs {
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}

// resolve finds the files and the passes named; asked is whose the files are, "" not said.
func (n *Named) resolve(ctx context.Context, s *Shop, args []string, asked string) error {
	logs, err := s.Logs(ctx)
	if err != nil {
		return err
	}
	whose := map[string]bool{}
	for _, a := range args {
		if path, number, _ := fileOf(a); path != "" {
			n.Logs, n.Picks = append(n.Logs, path), append(n.Picks, number)
			if len(n.Cars) == 0 {
				sheets, err := n.k.sheetsOf(ctx, path, filepath.Base(path), asked)
				if err != nil {
					return err
				}
				n.CarOf[path] = sheets[0].car
				whose[sheets[0].car] = true
			}
			continue
		}
		// The command line made a path of it.
		hits, err := s.Find(ctx, filepath.Base(a), false)
		if errors.Is(err, store.ErrNotFound) {
			err = fmt.Errorf("%s: no such file, and %w", filepath.Base(a), err)
		}
		if err != nil {
			return err
		}
		for i, p := range hits {
			if i > 0 && p.SHA256 == hits[i-1].SHA256 {
				n.Picks[len(n.Picks)-1] = -1 // all passes of that log
				n.Passes = append(n.Passes, p)
				continue
			}
			for _, l := range logs {
				if l.SHA256 == p.SHA256 {
					path, err := n.k.log(s, l)
					if err != nil {
						return err
					}
					n.Logs, n.Picks = append(n.Logs, path), append(n.Picks, p.Number)
					n.CarOf[path] = p.Car
				}
			}
			n.Passes = append(n.Passes, p)
			whose[p.Car] = true
		}
	}
	if len(n.Cars) == 0 {
		for _, h := range n.k.sheets {
			if whose[h.car] {
				n.Cars = append(n.Cars, h.path)
			}
		}
	}
	if n.Notes == "" {
		if n.Notes, err = n.k.allNotes(); err != nil {
			return err
		}
	}
	// Second recorders' logs come last: they are merged, and Picks keep their places.
	for _, p := range n.Passes {
		for _, j := range n.k.joined[p.SHA256] {
			if !slices.Contains(n.Logs, j.path) {
				n.Logs, n.Picks = append(n.Logs, j.path), append(n.Picks, -1)
			}
		}
	}
	return n.history(ctx, s)
}
