package web

import (
	"testing"

	"traplight/internal/store"
)

// TestEntryLines holds that a complaint names the line as it was typed, and none where a form
// made the text.
func TestEntryLines(t *testing.T) {
	text := "id = \"a\"\nair_tmp_c = 21\n"
	err := checkEntry(store.PassEntry, text)
	if want := `line 2: air_tmp_c: not a known key; the nearest known key is "air_temp_c"`; err == nil || err.Error() != want {
		t.Errorf("typed: %v, want %s", err, want)
	}
	err = checkForm(store.PlannedEntry, "id = \"a\"\nafter = \"b\"\nair_temp_c = -300\n")
	if want := `air_temp_c: -300 is not possible; it must lie from -60 to 60`; err == nil || err.Error() != want {
		t.Errorf("by a form: %v, want %s", err, want)
	}
	if err := checkEntry(store.PassEntry, "id = \"a\"\nair_temp_c = 21\n"); err != nil {
		t.Error(err)
	}
}
