package storetest

import (
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/store"
)

func backup(t *testing.T, s *store.Store) {
	a := add(t, s, "one.csv", ToyLog("Finch", 5000, "2031-05-17T10:21 12.5 81.2"))
	if err := s.Remove(t.Context(), a.Passes...); err != nil {
		t.Fatal(err)
	}
	file, dir := filepath.Join(t.TempDir(), "all.zip"), filepath.Join(t.TempDir(), "there")
	if _, err := s.Backup(t.Context(), file, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := store.RestoreBackup(t.Context(), file, dir, false, nil); err != nil {
		t.Fatal(err)
	}
	r, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	was, is := Sound(t, s), Sound(t, r)
	if was.Logs != is.Logs || was.Bytes != is.Bytes || was.Lines != is.Lines {
		t.Errorf("backed up %+v, restored %+v", was, is)
	}
	if err := r.Restore(t.Context(), a.Passes...); err != nil {
		t.Errorf("out of the restored trash: %v", err)
	}
	if _, err := store.RestoreBackup(t.Context(), file, dir, false, nil); !errors.Is(err, store.ErrExists) {
		t.Errorf("over a store: %v", err)
	}
}

func nonsense(t *testing.T, s *store.Store) {
	path := Write(t, "one.csv", ToyLog("Finch", 1, "2031-05-17T10:21 12.5 81.2"))
	sum, err := store.SumFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(t.Context(), filepath.Join(t.TempDir(), "none.csv"), Toy); err == nil || !strings.Contains(err.Error(), "none.csv") {
		t.Errorf("no file: %v", err)
	}
	if _, err := s.Add(t.Context(), Write(t, "x.csv", ToyLog("Emu", 1, "2031-05-17 1 1")), Toy); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("unknown car: %v", err)
	}
	if err := s.PutResult(t.Context(), sum.SHA256, &store.Analysis{Report: []byte("{}")}); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("result of an unknown log: %v", err)
	}
	a := add(t, s, "one.csv", ToyLog("Finch", 1, "2031-05-17T10:21 12.5 81.2"))
	if err := s.PutResult(t.Context(), a.SHA256, &store.Analysis{Car: "finch"}); err == nil {
		t.Error("an empty report was kept")
	}
	nan := math.NaN()
	if err := s.PutResult(t.Context(), a.SHA256, &store.Analysis{Report: []byte("{}"), Passes: []store.PassRow{{TrapSpeed: &nan}}}); err != nil {
		t.Error(err)
	}
	if p, err := s.FindOne(t.Context(), "one.csv"); err != nil || p.TrapSpeed != nil {
		t.Errorf("a speed that is no number: %v, %v", p.TrapSpeed, err)
	}
	if _, _, err := s.AddSheet(t.Context(), store.Sheet{Car: "", File: "x.toml"}); err == nil {
		t.Error("a nameless car was taken")
	}
}
