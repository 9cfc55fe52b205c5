package forecast_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/forecast"
)

// FuzzReadRecords: a file of records that anybody may have edited is read as a chain or refused
// with file and line, and what was read before the fault is whole.
func FuzzReadRecords(f *testing.F) {
	f.Add("")
	f.Add("\n\n")
	f.Add(`{"at":"2031-05-17T10:21:00Z","car":"x","hash":"00"}` + "\n")
	f.Add(`{"at":1}`)
	f.Add("[]\n{}")
	path := filepath.Join(f.TempDir(), "said.jsonl")
	f.Fuzz(func(t *testing.T, text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		records, err := forecast.ReadRecords(path)
		if err != nil && !errors.Is(err, forecast.ErrChanged) && !strings.HasPrefix(err.Error(), path) {
			t.Fatalf("%v names no file", err)
		}
		before := ""
		for _, r := range records {
			if r.Hash == "" || r.Before != before {
				t.Fatalf("%+v does not follow %q", r, before)
			}
			before = r.Hash
		}
	})
}
