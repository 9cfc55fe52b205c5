package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/report"
	"traplight/internal/store"
)

// log places a log of the store among the known files under its own name, so that
// notes find it and messages name it. It is a link where the system allows one.
func (k *known) log(s *Shop, l store.Log) (string, error) {
	path := filepath.Join(k.dir, l.SHA256[:16], filepath.Base(l.File))
	if _, err := os.Lstat(path); err == nil {
		return path, nil
	}
	from := s.OriginalPath(l.SHA256)
	if f, err := s.Original(l.SHA256); err != nil {
		return "", fmt.Errorf("%s: %w", l.File, err)
	} else {
		f.Close()
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	if os.Symlink(from, path) == nil || os.Link(from, path) == nil {
		return path, nil
	}
	data, err := os.ReadFile(from)
	if err != nil {
		return "", err
	}
	return path, os.WriteFile(path, data, 0o600)
}

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

// Close removes the files that were made.
func (n *Named) Close() {
	if n.k != nil {
		n.k.Close()
	}
}

// Resolve turns what was typed into files. args are paths of logs, ":2" behind one for its
// second pass alone, or names of passes; cars
// and notes, when given, win over the store's. dir is the data folder, "" for the usual one.
// A store is opened only when something is wanted of it. Close the result.
func Resolve(ctx context.Context, dir, program string, args, cars []string, notes string) (*Named, error) {
	n := &Named{Cars: cars, Notes: notes, CarOf: map[string]string{}}
	var names []string
	for _, a := range args {
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
	if err := n.resolve(ctx, s, args); err != nil {
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

func (n *Named) resolve(ctx context.Context, s *Shop, args []string) error {
	logs, err := s.Logs(ctx)
	if err != nil {
		return err
	}
	whose := map[string]bool{}
	for _, a := range args {
		if path, number, _ := fileOf(a); path != "" {
			n.Logs, n.Picks = append(n.Logs, path), append(n.Picks, number)
			if len(n.Cars) == 0 {
				sheets, err := n.k.sheetsFor(filepath.Base(path), "")
				if err != nil {
					return err
				}
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

// history finds the logs before the earliest pass that came by name.
func (n *Named) history(ctx context.Context, s *Shop) error {
	if len(n.Passes) == 0 {
		return nil
	}
	first := n.Passes[0]
	for _, p := range n.Passes {
		if p.RunAt < first.RunAt {
			first = p
		}
	}
	all, err := s.runs(ctx)
	if err != nil {
		return err
	}
	for _, l := range before(all, first.Car, first.RunAt) {
		path, err := n.k.log(s, l)
		if err != nil {
			return err
		}
		if slices.Contains(n.Logs, path) {
			continue
		}
		n.History = append(n.History, path)
		n.CarOf[path] = l.Car
		for _, j := range n.k.joined[l.SHA256] {
			n.History = append(n.History, j.path)
		}
	}
	return nil
}

// allNotes writes all notes of the store into one file.
func (k *known) allNotes() (string, error) {
	var b strings.Builder
	for _, p := range k.parts {
		b.WriteString("[[" + p.Table + "]]\n" + p.Body + "\n")
	}
	if b.Len() == 0 {
		return "", nil
	}
	path := filepath.Join(k.dir, storeNotes)
	return path, place(path, []byte(b.String()))
}

// pick leaves of each source only the pass that is wanted.
func pick(sources []report.Source, picks []int) {
	for i := range sources {
		s := &sources[i]
		if i >= len(picks) || picks[i] < 0 || picks[i] >= len(s.Passes) {
			continue
		}
		n := picks[i]
		s.Passes = s.Passes[n : n+1]
		if n < len(s.Health) {
			s.Health = s.Health[n : n+1]
		}
		if n < len(s.Setup) {
			s.Setup = s.Setup[n : n+1]
		}
		if n < len(s.Ledger) {
			s.Ledger = s.Ledger[n : n+1]
		}
	}
}

// ResolveHistory is Resolve for what a forecast or a plan learns from: History are the logs
// named, files or passes of the store. With none, they are those of the car whose pass in
// the store was run last, up to that one.
func ResolveHistory(ctx context.Context, dir, program string, history, cars []string, notes string) (*Named, error) {
	all := len(history) == 0
	if all {
		history = []string{"last"}
	}
	n, err := Resolve(ctx, dir, program, history, cars, notes)
	if err != nil && all {
		return nil, fmt.Errorf("%w (%w)", ErrHistory, err)
	}
	if err != nil {
		return nil, err
	}
	logs := n.Whole()
	if all {
		logs = append(n.History, logs...)
	}
	n.History, n.Logs, n.Picks = logs, nil, nil
	return n, nil
}
