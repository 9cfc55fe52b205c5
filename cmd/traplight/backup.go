package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

type backupCmd struct {
	File string `arg:"" help:"File to write, as in shop.zip." type:"path"`
	storeFlags
}

func (*backupCmd) Help() string {
	return `Writes the whole store into one file: a zip archive with the logs as they came, the catalogue, and a list of the SHA-256 of each (see traplight help store). ` + "`traplight restore`" + ` makes a store of it again.

Examples:
  traplight backup shop.zip` + exitCodes
}

func (c *backupCmd) Run(ctx context.Context, w *world) error {
	s, err := c.open(ctx, false)
	if err != nil {
		return err
	}
	defer s.Close()
	// A folder made for it would hold the backup of a drive that is not plugged in.
	if dir := filepath.Dir(c.File); !isFolder(dir) {
		return fmt.Errorf("%s is not there, and no folder is made for a backup: is the drive plugged in?", dir)
	}
	if err := overItsKind(c.File, backupBegins); err != nil {
		return err
	}
	m, err := s.Backup(ctx, c.File, w.counting("backing up"))
	w.progressDone()
	if err != nil {
		return err
	}
	var size int64
	for _, f := range m.Files {
		size += f.Size
	}
	fmt.Fprintf(w.out, "%s: %s, %.1f MB of data\n", c.File, quantity.Count(len(m.Files)-1, "log", "logs"), float64(size)/1e6)
	return nil
}

type restoreCmd struct {
	File    string `arg:"" help:"Backup to restore." type:"path"`
	Replace bool   `help:"Move a store that is there aside, to a folder beside it."`
	storeFlags
}

func (*restoreCmd) Help() string {
	return `Makes the store that is in a backup. Everything is unpacked and checked in a folder of its own before it takes its place; a store that is there already is never overwritten.

Examples:
  traplight restore shop.zip --replace
  traplight restore shop.zip --data look` + exitCodes
}

func (c *restoreCmd) Run(ctx context.Context, w *world) error {
	dir := c.Data
	if dir == "" {
		var err error
		if dir, err = store.DefaultDir(); err != nil {
			return err
		}
	}
	if err := there(c.File); err != nil {
		return fmt.Errorf("no backup is read: %w", err)
	}
	aside, err := store.RestoreBackup(ctx, c.File, dir, c.Replace, w.counting("restoring"))
	w.progressDone()
	if err != nil {
		return err
	}
	fmt.Fprintf(w.out, "restored %s to %s\n", filepath.Base(c.File), dir)
	if aside != "" {
		fmt.Fprintf(w.out, "the store that was there is in %s\n", aside)
	}
	return nil
}

// there says why a file is not there; nil where it is.
func there(path string) error {
	_, err := os.Stat(path)
	if pe := new(fs.PathError); errors.As(err, &pe) {
		return fmt.Errorf("%s: %w", path, pe.Err)
	}
	return err
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// counting shows how far something is, on a terminal only.
func (w *world) counting(what string) func(done, total int) {
	p := w.progress()
	if p == nil {
		return nil
	}
	return func(done, total int) { p(what, done-1, total) }
}
