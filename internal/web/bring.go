package web

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"traplight/internal/store/inbox"
)

// FromFiles takes files of this machine in and waits; it is for the command line.
func (s *Server) FromFiles(paths []string) (at string, err error) {
	for _, p := range paths {
		if _, err := os.Stat(p); err != nil {
			return "", err
		}
	}
	name := "reading"
	if len(paths) > 0 {
		name += " " + filepath.Base(paths[0])
	}
	j, err := s.jobs.start(name, s.intake(paths, ""))
	if err != nil {
		return "", err
	}
	return "/jobs/" + j.ID, nil
}

// Watch takes the logs in that appear in folders, until ctx ends. Sheets and notes lying
// there are left alone: an old copy must not undo a newer one.
func (s *Server) Watch(ctx context.Context, folders []string) error {
	tell := func(what string) func(string) {
		return func(f string) { s.opt.Log.Info(what, "folder", f) }
	}
	w := inbox.Watcher{Folders: folders, Lost: tell("not seen any more"), Back: tell("is back")}
	err := w.Run(ctx, func(files []inbox.File) {
		var logs []string
		for _, f := range files {
			if !inbox.IsSheetOrNotes(f.Path) {
				logs = append(logs, f.Path)
			}
		}
		if len(logs) == 0 {
			return
		}
		s.gate.RLock()
		defer s.gate.RUnlock()
		if _, err := s.jobs.brought("reading "+filepath.Base(logs[0]), s.intake(logs, "")); err != nil {
			s.opt.Log.Error("watched folder", "error", err)
		}
	})
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// Demo begins to take the invented shop in; at is the page that shows how far it is.
func (s *Server) Demo(seed uint64) (at string, err error) {
	j, err := s.jobs.start("inventing a day at the strip", s.intakeDemo(seed))
	if err != nil {
		return "", err
	}
	return "/jobs/" + j.ID, nil
}
