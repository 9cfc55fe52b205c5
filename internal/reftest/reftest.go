// Package reftest finds what lies beside the repository for tests to be held against
// (folder shared: published tables, real measurements, simulated logs with their
// truth) and reads its tables. It is no part of the program; a test whose file is
// absent is skipped, with the reason.
package reftest

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Row is one line of a table: text by column name.
type Row map[string]string

// Num gives a column as a number (in the unit that its heading states), NaN when
// it is empty.
func (r Row) Num(t testing.TB, column string) float64 {
	t.Helper()
	s, ok := r[column]
	if !ok {
		t.Fatalf("the table has no column %q", column)
	}
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("column %q: %v", column, err)
	}
	return v
}

// Path is a file or folder below the folder "shared" beside the module, or below
// what TRAPLIGHT_SHARED says. The test is skipped, with the reason, where it is absent.
func Path(t testing.TB, parts ...string) string {
	t.Helper()
	base := os.Getenv("TRAPLIGHT_SHARED")
	if base == "" {
		dir, err := os.Getwd()
		if err != nil {
			t.Fatal(err)
		}
		for {
			if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
				break
			}
			if filepath.Dir(dir) == dir {
				t.Fatal("no go.mod above the test")
			}
			dir = filepath.Dir(dir)
		}
		base = filepath.Join(dir, "..", "shared")
	}
	path := filepath.Join(append([]string{base}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("no reference data at %s", path)
	}
	return path
}

// Rows reads references/name.
func Rows(t testing.TB, name string) []Row {
	t.Helper()
	f, err := os.Open(Path(t, "references", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(all) < 2 {
		t.Fatalf("%s holds no rows", name)
	}
	rows := make([]Row, 0, len(all)-1)
	for _, line := range all[1:] {
		r := Row{}
		for i, c := range line {
			r[all[0][i]] = c
		}
		rows = append(rows, r)
	}
	return rows
}
