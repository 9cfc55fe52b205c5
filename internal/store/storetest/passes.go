package storetest

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"traplight/internal/store"
)

func keptNames(t *testing.T, s *store.Store) {
	a := add(t, s, "two.csv", ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2", "2031-05-17T10:40 1100 80.1"))
	// A new analysis finds a pass before the others, and no longer the second.
	launch, early, trap := 12.61, 3.0, 81.3
	err := s.PutResult(t.Context(), a.SHA256, &store.Analysis{Report: []byte(`{}`), Inputs: "2", Car: "finch", Passes: []store.PassRow{
		{RunAt: "2031-05-17T10:20:00.000", Launch: &early},
		{RunAt: "2031-05-17T10:21", Launch: &launch, TrapSpeed: &trap, Complete: true, NoteKey: "f07"},
	}})
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.FindOne(t.Context(), a.Passes[0])
	if err != nil || p.Number != 1 || p.TrapSpeed == nil || *p.TrapSpeed != trap || p.NoteKey != "f07" {
		t.Errorf("the first pass became %+v, %v", p, err)
	}
	if byNote, err := s.FindOne(t.Context(), "F07"); err != nil || byNote.Name != p.Name {
		t.Errorf("by its id in the notes: %+v, %v", byNote, err)
	}
	if _, err := s.FindOne(t.Context(), a.Passes[1]); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("the second pass is still found: %v", err)
	}
	new, err := s.FindOne(t.Context(), "two.csv:1")
	if err != nil || slices.Contains(a.Passes, new.Name) {
		t.Errorf("the new pass is called %q, %v", new.Name, err)
	}
	if !new.ByAdding || p.ByAdding {
		t.Errorf("dated by their adding: %t of a moment with thousandths, %t of one to the minute", new.ByAdding, p.ByAdding)
	}
	// The earlier analysis once more: the names are the earlier ones.
	sum, _ := store.SumFile(s.OriginalPath(a.SHA256))
	old, err := Toy(t.Context(), s.OriginalPath(a.SHA256), "two.csv", sum)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.PutResult(t.Context(), a.SHA256, old); err != nil {
		t.Fatal(err)
	}
	for i, name := range a.Passes {
		if p, err := s.FindOne(t.Context(), name); err != nil || p.Number != i {
			t.Errorf("%s is number %d, %v", name, p.Number, err)
		}
	}
}

func choosing(t *testing.T, s *store.Store) {
	AddCar(t, s, "Quail")
	add(t, s, "a.csv", ToyLog("Finch", 1, "2031-05-17T10:21 12.5 81.2"))
	add(t, s, "b.csv", ToyLog("Quail", 2, "2031-05-17T11:00 12.5 70"))
	add(t, s, "c.csv", ToyLog("Finch", 3, "2031-06-01T09:00 12.5 82.2", "2031-06-01T09:30 1500 83.2"))
	for _, c := range []struct {
		name string
		f    store.Filter
		want []string // files
	}{
		{"car", store.Filter{Car: " FINCH"}, []string{"a.csv", "c.csv", "c.csv"}},
		{"event and car", store.Filter{Car: "quail", Event: "North"}, []string{"b.csv"}},
		{"other event", store.Filter{Car: "quail", Event: "south"}, nil},
		{"day", store.Filter{Car: "finch", Date: "2031-06-01"}, []string{"c.csv", "c.csv"}},
		{"month", store.Filter{Car: "finch", Date: "2031-05"}, []string{"a.csv"}},
		{"no pattern", store.Filter{Car: "finch", Date: "%"}, nil},
		{"since", store.Filter{Car: "finch", Since: "2031-06-01"}, []string{"c.csv", "c.csv"}},
		{"until, its day included", store.Filter{Car: "finch", Until: "2031-05-17"}, []string{"a.csv"}},
	} {
		list, err := s.Passes(t.Context(), c.f)
		var got []string
		for _, p := range list {
			got = append(got, p.File)
		}
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v (%v)", c.name, got, c.want, err)
		}
	}
	for _, c := range []struct {
		name, want string
		err        error
	}{
		{"Finch-2031-06-01-2", "finch-2031-06-01-2", nil},
		{"last:finch", "finch-2031-06-01-2", nil},
		{"last:QUAIL", "quail-2031-05-17-1", nil},
		{"c.csv:2", "finch-2031-06-01-2", nil},
		{"quail", "quail-2031-05-17-1", nil},
		{"c.csv", "", store.ErrAmbiguous},
		{"finch-2031-06", "", store.ErrAmbiguous},
		{"finch-2031-06-01-3", "", store.ErrNotFound},
		{"", "", store.ErrNotFound},
	} {
		p, err := s.FindOne(t.Context(), c.name)
		if p.Name != c.want || !errors.Is(err, c.err) {
			t.Errorf("find %q: %q, %v; want %q, %v", c.name, p.Name, err, c.want, c.err)
		}
	}
	var h *store.Hinted
	if _, err := s.FindOne(t.Context(), "quail-2031-05-71-1"); !errors.As(err, &h) || !strings.Contains(h.Hint, "quail-2031-05-17-1") {
		t.Errorf("no nearest name for a typo: %v", h)
	}
	events, err := s.Events(t.Context())
	if err != nil || len(events) == 0 {
		t.Errorf("events %v, %v", events, err)
	}
}

func trash(t *testing.T, s *store.Store) {
	a := add(t, s, "two.csv", ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2", "2031-05-17T10:40 1100 80.1"))
	text := ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2", "2031-05-17T10:40 1100 80.1")
	count := func(removed bool) int {
		list, err := s.Passes(t.Context(), store.Filter{Car: "finch", Removed: removed})
		if err != nil {
			t.Fatal(err)
		}
		return len(list)
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(s.Remove(t.Context(), a.Passes[1]))
	if count(false) != 1 || count(true) != 1 {
		t.Errorf("one removed: %d and %d", count(false), count(true))
	}
	must(s.Remove(t.Context(), a.Passes[0]))
	if got := add(t, s, "two.csv", text); got.Outcome != store.InTrash || count(false) != 0 {
		t.Errorf("adding what is in the trash: %+v", got)
	}
	must(s.Restore(t.Context(), a.Passes[0]))
	if count(false) != 1 || count(true) != 1 {
		t.Errorf("one restored: %d and %d", count(false), count(true))
	}
	must(s.Restore(t.Context(), a.Passes[1]))
	must(s.RemoveLog(t.Context(), a.SHA256))
	if count(false) != 0 || count(true) != 2 {
		t.Errorf("log removed: %d and %d", count(false), count(true))
	}
	must(s.Restore(t.Context(), a.Passes[1]))
	if count(false) != 1 || count(true) != 1 {
		t.Errorf("one of a removed log restored: %d and %d", count(false), count(true))
	}
	if err := s.Drop(t.Context(), a.SHA256); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("dropping what is not in the trash: %v", err)
	}
	must(s.RecordInspection(t.Context(), a.Passes[0], "plugs read: clean", "crew"))
	must(s.RemoveLog(t.Context(), a.SHA256))
	must(s.Drop(t.Context(), a.SHA256))
	if _, err := os.Stat(s.OriginalPath(a.SHA256)); !os.IsNotExist(err) || count(true) != 0 {
		t.Errorf("dropped, but: %v, %d in the trash", err, count(true))
	}
	if i, err := s.Inspections(t.Context(), a.Passes[0]); err != nil || len(i) != 1 {
		t.Errorf("inspections after the drop: %v %v", i, err)
	}
	if got := add(t, s, "two.csv", text); got.Outcome != store.Added || !slices.Equal(got.Passes, a.Passes) {
		t.Errorf("added after the drop: %+v, want names %v", got, a.Passes)
	}
}
