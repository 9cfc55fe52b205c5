package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"traplight/internal/atomicfile"
)

// writeFile writes a file whole or not at all and says so. A folder that is missing is made
// and told: it may be a typing error.
func (w *world) writeFile(name string, fill func(io.Writer) error) error {
	if isFolder(name) {
		return fmt.Errorf("%s is a folder: name a file in it", name)
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
