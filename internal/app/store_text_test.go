package app

import (
	"bytes"
	"strings"
	"testing"

	"traplight/internal/store"
)

// TestPassesToTheMinute: a log without a date is listed at the moment when it was added, which
// is kept to the millisecond and read to the minute.
func TestPassesToTheMinute(t *testing.T) {
	var b bytes.Buffer
	list := []store.Pass{{Name: "marl-2026-11-27-1", RunAt: "2026-11-27T10:00:36.735", ByAdding: true}, {Name: "marl-2033-06-11-1", RunAt: "2033-06-11 10:21"}, {Name: "marl-1", RunAt: "2033"}}
	if err := WritePasses(&b, list, "us"); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"2026-11-27 10:00 (added) ", "2033-06-11 10:21 ", "2033 "} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
	if strings.Contains(b.String(), ".735") {
		t.Error("the list tells milliseconds")
	}
}
