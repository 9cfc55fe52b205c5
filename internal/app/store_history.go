package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/report"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
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
// the store was run last, up to that one; cars may name one of the store's instead of a sheet.
func ResolveHistory(ctx context.Context, dir, program string, history, cars []string, notes string) (*Named, error) {
	all := len(history) == 0
	if all {
		history = []string{"last"}
		last, err := lastOf(ctx, dir, program, cars)
		if err != nil {
			return nil, err
		}
		if last != "" {
			history, cars = []string{last}, nil
		}
	}
	n, err := Resolve(ctx, dir, program, history, cars, notes)
	if err != nil && all {
		if errors.Is(err, store.ErrNoStore) {
			err = store.ErrNoStore // which pass was looked for there does not matter
		}
		return nil, fmt.Errorf("%w; %w", ErrHistory, err)
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

// lastOf is the pass run last of the car that cars names, as the store calls it; "" where cars
// are sheets, or none is given.
func lastOf(ctx context.Context, dir, program string, cars []string) (string, error) {
	if len(cars) != 1 {
		return "", nil
	}
	if _, err := os.Stat(cars[0]); err == nil || inbox.IsSheetOrNotes(cars[0]) {
		return "", nil
	}
	name := filepath.Base(cars[0])
	s, err := OpenShop(ctx, dir, program, false)
	if err != nil {
		return "", fmt.Errorf("%s: no such file, and in %w", name, err)
	}
	defer s.Close()
	passes, err := s.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return "", err
	}
	if len(passes) == 0 {
		return "", fmt.Errorf("%s: no such file, and the store has no pass of a car of this name", name)
	}
	return passes[len(passes)-1].Name, nil
}
