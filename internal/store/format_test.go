package store_test

import (
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// A store of each past format is kept in testdata, as a program of that time
// wrote it. Before the format changes, this writes one of the present format:
//
//	go test ./internal/store -run TestMakeFormat -make-format
var makeFormat = flag.Bool("make-format", false, "write a store of the present format to testdata")

// TestPastFormats opens the store of each format that ever was.
func TestPastFormats(t *testing.T) {
	for n := 1; n <= store.Format(); n++ {
		name := filepath.Join("testdata", fmt.Sprintf("format-%d.tar.gz", n))
		open := func(t *testing.T) *store.Store {
			dir := t.TempDir()
			unpackDir(t, name, dir)
			s, err := store.Open(t.Context(), store.Options{Dir: dir})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { s.Close() })
			return s
		}
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			checkPast(t, open(t))
			storetest.Run(t, open)
		})
	}
}

// checkPast holds a store against pastContents.
func checkPast(t *testing.T, s *store.Store) {
	ctx := t.Context()
	passes, err := s.Passes(ctx, store.Filter{})
	if err != nil || len(passes) != 2 || passes[0].Name != "dipper-2031-05-17-1" || *passes[0].TrapSpeed != 81.25 || !passes[1].Complete {
		t.Errorf("passes %+v, %v", passes, err)
	}
	if gone, err := s.Passes(ctx, store.Filter{Removed: true}); err != nil || len(gone) != 1 || gone[0].Complete {
		t.Errorf("trash %+v, %v", gone, err)
	}
	if sheets, err := s.Sheets(ctx, "dipper"); err != nil || len(sheets) != 2 || sheets[1].Valid != "2031-06-01" {
		t.Errorf("sheets %+v, %v", sheets, err)
	}
	if text, err := s.Notes(ctx); err != nil || string(text) != "[[pass]]\nid = \"d01\"\n\n" {
		t.Errorf("notes %q, %v", text, err)
	}
	if m, err := s.Corrections(ctx, "dipper"); err != nil || m["P 3"] != "fuel_pressure kPa" {
		t.Errorf("corrections %v, %v", m, err)
	}
	if body, _, ok, err := s.Learnt(ctx, "dipper", "tyre radius"); !ok || err != nil || string(body) != `{"m":0.33}` {
		t.Errorf("learnt %s, %v", body, err)
	}
	if f, err := s.Forecasts(ctx, "d02"); err != nil || len(f) != 1 || !strings.HasPrefix(f[0].RecordedAt, "2031-07-01T12:") {
		t.Errorf("forecasts %+v, %v", f, err)
	}
	if c, err := s.Scores(ctx); err != nil || len(c) != 1 || string(c[0].Body) != `{"error_mps":0.5}` {
		t.Errorf("scores %+v, %v", c, err)
	}
	if i, err := s.Inspections(ctx, "dipper-2031-05-17-1"); err != nil || len(i) != 1 || i[0].ByWhom != "crew" {
		t.Errorf("inspections %+v, %v", i, err)
	}
	logs, err := s.Logs(ctx)
	if err != nil || len(logs) != 3 || len(logs[0].With) != 1 || logs[0].With[0] != logs[1].SHA256 {
		t.Errorf("logs %+v, %v", logs, err)
	}
	storetest.Sound(t, s)
}

// TestStep brings a store to a format that only this test knows.
func TestStep(t *testing.T) {
	first, err := fs.ReadFile(store.Embedded(), "migrations/0001.sql")
	if err != nil {
		t.Fatal(err)
	}
	file := func(n int, text string) fstest.MapFS {
		return fstest.MapFS{fmt.Sprintf("migrations/%04d.sql", n): {Data: []byte(text)}}
	}
	with := func(parts ...fstest.MapFS) fstest.MapFS {
		all := fstest.MapFS{}
		for _, p := range parts {
			maps.Copy(all, p)
		}
		return all
	}
	one := file(1, string(first))
	bad := with(one, file(2, "ALTER TABLE car ADD COLUMN nick TEXT; INSERT INTO nowhere VALUES (1);"))
	good := with(one, file(2, "ALTER TABLE car ADD COLUMN nick TEXT NOT NULL DEFAULT '';"))
	defer store.SetMigrations(store.Embedded())()

	store.SetMigrations(one)
	dir := filepath.Join(t.TempDir(), "d")
	open := func() (*store.Store, error) { return store.Open(t.Context(), store.Options{Dir: dir, Create: true}) }
	s, err := open()
	if err != nil {
		t.Fatal(err)
	}
	pastContents(t, s)
	s.Close()

	store.SetMigrations(bad)
	if _, err := open(); err == nil || !strings.Contains(err.Error(), "from format 1 to 2") {
		t.Errorf("a step that fails: %v", err)
	}
	store.SetMigrations(one)
	if s, err = open(); err != nil {
		t.Fatalf("after a step that failed: %v", err)
	}
	storetest.Sound(t, s)
	s.Close()

	store.SetMigrations(good)
	if s, err = open(); err != nil {
		t.Fatal(err)
	}
	storetest.Sound(t, s)
	s.Close()
	copies, _ := filepath.Glob(filepath.Join(dir, "copies", "format-1-*.db"))
	if len(copies) != 2 { // one before each try
		t.Fatalf("copies: %v", copies)
	}
	db, err := sql.Open("sqlite", copies[1])
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var version, logs int
	if err := db.QueryRow("SELECT user_version, (SELECT count(*) FROM log) FROM pragma_user_version").Scan(&version, &logs); err != nil || version != 1 || logs != 3 {
		t.Errorf("the copy has format %d and %d logs, %v", version, logs, err)
	}

	store.SetMigrations(one)
	if _, err := open(); !errors.Is(err, store.ErrNewer) {
		t.Errorf("a newer store: %v", err)
	}
}

func TestForeignDatabase(t *testing.T) {
	dir := t.TempDir()
	db, err := sql.Open("sqlite", filepath.Join(dir, "traplight.db"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE x (y)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := store.Open(t.Context(), store.Options{Dir: dir}); !errors.Is(err, store.ErrForeign) {
		t.Errorf("another program's database: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, "traplight.db"), []byte(strings.Repeat("no database ", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	var h *store.Hinted
	if _, err := store.Open(t.Context(), store.Options{Dir: dir}); !errors.As(err, &h) {
		t.Errorf("no database at all: %v", err)
	}
	if _, err := store.Open(t.Context(), store.Options{Dir: filepath.Join(dir, "none")}); !errors.Is(err, store.ErrNoStore) {
		t.Errorf("no store: %v", err)
	}
}

// TestAllStrict reads the schema as the engine has it: every table is STRICT,
// so that no text gets into a column of numbers.
func TestAllStrict(t *testing.T) {
	s := freshIn(t, "data")
	db, err := sql.Open("sqlite", filepath.Join(s.Dir(), "traplight.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query("SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "store.md"))
	if err != nil {
		t.Fatal(err)
	}
	strict := regexp.MustCompile(`(?s)\) STRICT[^)]*$`)
	var names []string
	for rows.Next() {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
		if !strict.MatchString(text) {
			t.Errorf("table %s is not STRICT", name)
		}
		if !strings.Contains(string(page), "| `"+name+"` |") {
			t.Errorf("table %s is not described in docs/store.md", name)
		}
	}
	if len(names) < 15 || !slices.Contains(names, "forecast") {
		t.Errorf("tables: %v", names)
	}
}

// TestKeptForGood tries to change by hand what was recorded.
func TestKeptForGood(t *testing.T) {
	s := freshIn(t, "data")
	pastContents(t, s)
	db, err := sql.Open("sqlite", filepath.Join(s.Dir(), "traplight.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, table := range []string{"forecast", "score", "inspection", "journal"} {
		if _, err := db.Exec("DELETE FROM " + table); err == nil {
			t.Errorf("%s could be emptied", table)
		}
		if _, err := db.Exec("UPDATE " + table + " SET id = id + 1"); err == nil {
			t.Errorf("%s could be changed", table)
		}
	}
	storetest.Sound(t, s)
	// Whoever takes the guard off is found out by the chain.
	for _, harm := range []string{
		"UPDATE journal SET subject = 'other' WHERE id = 3",
		"DELETE FROM journal WHERE id = 4",
		"UPDATE forecast SET recorded_at = '2031-01-01T00:00:00.000Z'",
	} {
		tx, err := db.Begin()
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range []string{"DROP TRIGGER journal_kept", "DROP TRIGGER journal_stays", "DROP TRIGGER forecast_kept", harm} {
			if _, err := tx.Exec(q); err != nil {
				t.Fatal(err)
			}
		}
		if err := tx.Commit(); err != nil {
			t.Fatal(err)
		}
		c, err := s.Verify(t.Context(), nil)
		if err != nil || len(c.Faults) == 0 {
			t.Errorf("%s: not noticed, %v", harm, err)
		}
		s = freshIn(t, "data")
		pastContents(t, s)
		if db, err = sql.Open("sqlite", filepath.Join(s.Dir(), "traplight.db")); err != nil {
			t.Fatal(err)
		}
		defer db.Close()
	}
}
