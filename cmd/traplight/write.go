package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"traplight/internal/atomicfile"
	"traplight/internal/prose"
)

// text is where texts for people are written: their lines are broken to the terminal's width.
// Each Write must hold whole lines.
func (w *world) text() io.Writer { return folding{w.out, w.width} }

type folding struct {
	out     io.Writer
	columns int // 0 unknown
}

func (f folding) Write(p []byte) (int, error) {
	if _, err := io.WriteString(f.out, prose.Fold(string(p), f.columns)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// How the files begin that this program writes in place of older ones of their kind.
const (
	pageBegins   = "<!doctype html>"
	pdfBegins    = "%PDF-"
	cardBegins   = "Pass card"
	backupBegins = "PK\x03\x04"
)

// writeFile writes a file whole or not at all and says so, over an older one of its kind, which
// begins alike, but over no other. A folder that is missing is made and told: it may be a
// typing error.
func (w *world) writeFile(name, begins string, fill func(io.Writer) error) error {
	if isFolder(name) {
		return fmt.Errorf("%s is a folder: name a file in it", name)
	}
	if err := overItsKind(name, begins); err != nil {
		return err
	}
	told := ""
	if _, err := os.Stat(filepath.Dir(name)); errors.Is(err, fs.ErrNotExist) {
		told = ", in a new folder"
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
	}
	f, err := atomicfile.Create(name)
	if err != nil {
		return err
	}
	if err := fill(f); err != nil {
		f.Abort()
		return err
	}
	if _, err := f.Commit(0o644); err != nil {
		return err
	}
	fmt.Fprintf(w.err, "traplight: %s written%s\n", name, told)
	return nil
}

// overItsKind refuses to write over a file that does not begin as the new one will: a name
// mistyped must not cost a log. An empty file is no loss.
func overItsKind(name, begins string) error {
	f, err := os.Open(name)
	if err != nil {
		return nil // it is not there, or writing it will say what is wrong
	}
	defer f.Close()
	head := make([]byte, len(begins))
	n, _ := io.ReadFull(f, head)
	if n == 0 || string(head[:n]) == begins {
		return nil
	}
	return fmt.Errorf("%s is there and is something else than what is written now: choose another name", name)
}
