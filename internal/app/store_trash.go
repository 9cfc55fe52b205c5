package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"traplight/internal/store"
)

// TrashMove is what is to be done with passes.
type TrashMove int

// The moves.
const (
	ToTrash   TrashMove = iota // into the trash
	FromTrash                  // out of it
	ForGood                    // from the trash to nowhere, the whole log
)

// Trash moves passes by name, or logs by file name, and says in a line each what was
// done.
func (s *Shop) Trash(ctx context.Context, names []string, move TrashMove) (done []string, err error) {
	for _, name := range names {
		hits, err := s.Find(ctx, name, move != ToTrash)
		if errors.Is(err, store.ErrNotFound) {
			line, logErr := s.trashEmptyLog(ctx, name, move)
			if logErr == nil {
				done = append(done, line)
				continue
			}
			if !errors.Is(logErr, store.ErrNotFound) {
				err = logErr
			}
		}
		if err != nil {
			return done, err
		}
		var passes []string
		for _, p := range hits {
			if p.SHA256 != hits[0].SHA256 {
				return done, &store.Hinted{Err: fmt.Errorf("%q: %w", name, store.ErrAmbiguous), Hint: "several logs have that name; name the passes one by one: `traplight passes` lists them"}
			}
			passes = append(passes, p.Name)
		}
		switch move {
		case ToTrash:
			err = s.Remove(ctx, passes...)
			done = append(done, strings.Join(passes, ", ")+": in the trash")
		case FromTrash:
			err = s.Restore(ctx, passes...)
			done = append(done, strings.Join(passes, ", ")+": back")
		case ForGood:
			err = s.dropLog(ctx, hits[0])
			done = append(done, hits[0].File+": thrown away")
		}
		if err != nil {
			return done[:len(done)-1], err
		}
	}
	return done, nil
}

// dropLog throws a log away if all its passes are in the trash.
func (s *Shop) dropLog(ctx context.Context, p store.Pass) error {
	left, err := s.Passes(ctx, store.Filter{Logs: []string{p.SHA256}})
	if err != nil {
		return err
	}
	if len(left) > 0 {
		return &store.Hinted{Err: fmt.Errorf("%s also holds %s, which is not in the trash", p.File, left[0].Name), Hint: "a log is thrown away whole: remove its other passes first"}
	}
	return s.Drop(ctx, p.SHA256)
}

// trashEmptyLog is Trash for a log in which there is no pass.
func (s *Shop) trashEmptyLog(ctx context.Context, file string, move TrashMove) (line string, err error) {
	logs, err := s.Logs(ctx)
	if err != nil {
		return "", err
	}
	for _, l := range logs {
		if !strings.EqualFold(l.File, file) || l.Removed != (move != ToTrash) {
			continue
		}
		switch move {
		case ToTrash:
			return l.File + ": in the trash", s.RemoveLog(ctx, l.SHA256)
		case FromTrash:
			return l.File + ": back", s.RestoreLog(ctx, l.SHA256)
		default:
			return l.File + ": thrown away", s.Drop(ctx, l.SHA256)
		}
	}
	return "", store.ErrNotFound
}
