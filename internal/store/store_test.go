package store_test

import (
	"path/filepath"
	"testing"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

func fresh(t *testing.T) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: filepath.Join(t.TempDir(), "a data folder ?#%"), Create: true, Program: "test"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestFresh(t *testing.T) { storetest.Run(t, fresh) }
