// Package reftest reads the tables of published check values that lie beside the
// repository (folder shared/references), for tests only. Tests that need a table are
// skipped, with the reason, where the folder is absent.
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

// Dir is the folder "shared" beside the module, or what TRAPLIGHT_SHARED says; the
// test is skipped when there is none.
func Dir(t testing.TB) string {
	t.Helper()
	if d := os.Getenv("TRAPLIGHT_SHARED"); d != "" {
		return d
	}
	d, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(d)
		if up == d {
			t.Skip("no go.mod above the test's folder")
		}
		d = up
	}
	shared := filepath.Join(filepath.Dir(d), "shared")
	if _, err := os.Stat(shared); err != nil {
		t.Skipf("the folder of reference data is absent: %v", err)
	}
	return shared
}

// Rows reads references/name.
func Rows(t testing.TB, name string) []Row {
	t.Helper()
	f, err := os.Open(filepath.Join(Dir(t), "references", name))
	if err != nil {
		t.Skipf("the table is absent: %v", err)
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
