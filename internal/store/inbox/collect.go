// Package inbox finds the files that are to be added to the store: those named
// on the command line, those in named folders, and those that appear in a
// watched folder or on a removable drive. It reads no contents.
package inbox

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// File is a file to add.
type File struct {
	Path string
	// Named is set when a person named this very file, not its folder.
	Named bool
}

// kinds are the endings, in lower case, of files taken from folders: tables of
// samples in the ways people save them, and sheets and notes. A file with
// another ending can still be named by itself.
var kinds = []string{".csv", ".tsv", ".tab", ".txt", ".log", ".asc", ".dat", ".parquet", ".xlsx", ".mf4", ".mdf", ".nmea", ".toml"}

// packed are endings that may follow one of kinds, or stand for it.
var packed = []string{".gz", ".zip"}

// IsKind says whether a file in a folder looks like one to add, by its name.
func IsKind(path string) bool {
	name := strings.ToLower(filepath.Base(path))
	if strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") { // hidden; a spreadsheet's lock
		return false
	}
	ext := filepath.Ext(name)
	return slices.Contains(kinds, ext) || slices.Contains(packed, ext)
}

// Collect lists the files that the paths stand for: a file for itself, a folder
// for all in it and below that IsKind accepts. Sheets and notes (.toml) come
// first, since the logs' analysis wants them; otherwise the order is that of
// the paths, and by name within a folder, numbers by their size. skipped counts the others.
func Collect(paths []string) (files []File, skipped int, err error) {
	seen := map[string]bool{}
	add := func(path string, named bool) {
		full, err := filepath.Abs(path)
		if err != nil {
			full = path
		}
		if !seen[full] {
			seen[full] = true
			files = append(files, File{path, named})
		}
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, 0, plain(path, err)
		}
		if !info.IsDir() {
			add(path, true)
			continue
		}
		first := len(files)
		err = filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return plain(p, err)
			case d.IsDir() && p != path && strings.HasPrefix(d.Name(), "."):
				return filepath.SkipDir
			case d.Type().IsRegular() && IsKind(p):
				add(p, false)
			case d.Type().IsRegular():
				skipped++
			}
			return nil
		})
		if err != nil {
			return nil, 0, err
		}
		slices.SortStableFunc(files[first:], func(a, b File) int { return byNumber(a.Path, b.Path) })
	}
	slices.SortStableFunc(files, func(a, b File) int { return rank(a.Path) - rank(b.Path) })
	return files, skipped, nil
}

// byNumber compares names with the numbers in them by size: "pull 9" stands before "pull 10".
func byNumber(a, b string) int {
	for a != "" && b != "" {
		n, m := digits(a), digits(b)
		if n == 0 || m == 0 {
			if a[0] != b[0] {
				return cmp.Compare(a[0], b[0])
			}
			a, b = a[1:], b[1:]
			continue
		}
		x, y := strings.TrimLeft(a[:n], "0"), strings.TrimLeft(b[:m], "0")
		if c := cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(x, y)); c != 0 {
			return c
		}
		a, b = a[n:], b[m:]
	}
	return cmp.Compare(len(a), len(b))
}

// digits is how many bytes at the beginning are digits.
func digits(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }

// MayBeProse says whether a file in a folder, by its name, may as well hold words as samples.
func MayBeProse(path string) bool {
	return slices.Contains([]string{".txt", ".log", ".dat", ".asc"}, strings.ToLower(filepath.Ext(path)))
}

// rank puts what describes logs before logs.
func rank(path string) int {
	if IsSheetOrNotes(path) {
		return 0
	}
	return 1
}

// IsSheetOrNotes says whether a file is a sheet or notes, by its name.
func IsSheetOrNotes(path string) bool { return strings.EqualFold(filepath.Ext(path), ".toml") }

func plain(path string, err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}
