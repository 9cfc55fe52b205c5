package store_test

import (
	"path/filepath"
	"testing"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// fresh is a new store in a folder whose name needs escaping.
func fresh(t *testing.T) *store.Store { return freshIn(t, "a data folder ?#%") }

func freshIn(t *testing.T, name string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: filepath.Join(t.TempDir(), name), Create: true, Program: "test"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestFresh(t *testing.T) { storetest.Run(t, fresh) }
