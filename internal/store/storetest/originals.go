package storetest

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"traplight/internal/store"
)

func bytesComeBack(t *testing.T, s *store.Store) {
	text := ToyLog("Finch", 1000, "2031-05-17T10:21 12.5 81.25") + "\x00\xff odd bytes \r\n"
	a := add(t, s, "one.csv", text)
	if a.Outcome != store.Added || !slices.Equal(a.Passes, []string{"finch-2031-05-17-1"}) {
		t.Errorf("added: %+v", a)
	}
	f, err := s.Original(a.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got, err := io.ReadAll(f); err != nil || string(got) != text {
		t.Errorf("original: %d bytes of %d, %v", len(got), len(text), err)
	}
	if info, err := f.Stat(); err != nil || info.Mode().Perm()&0o222 != 0 {
		t.Errorf("original can be written to: %v %v", info.Mode(), err)
	}
	r, err := s.Result(t.Context(), a.SHA256)
	if err != nil || !bytes.Contains(r.Report, []byte(a.SHA256)) {
		t.Errorf("result %s, %v", r.Report, err)
	}
	p, err := s.FindOne(t.Context(), "one.csv")
	if err != nil || p.TrapSpeed == nil || *p.TrapSpeed != 81.25 || p.HalfMile != nil || p.Car != "Finch" {
		t.Errorf("pass %+v, %v", p, err)
	}
}

func addingTwice(t *testing.T, s *store.Store) {
	text := ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2")
	first := add(t, s, "one.csv", text)
	before, _ := s.Journal(t.Context(), 1000)
	again := add(t, s, "one.csv", text)
	after, _ := s.Journal(t.Context(), 1000)
	if again.Outcome != store.Known || !slices.Equal(again.Passes, first.Passes) {
		t.Errorf("again: %+v", again)
	}
	if len(after) != len(before) {
		t.Errorf("adding again wrote %d journal lines", len(after)-len(before))
	}
	other := add(t, s, "copy of one.csv", text)
	if other.Outcome != store.Known {
		t.Errorf("under another name: %+v", other)
	}
	if p, err := s.FindOne(t.Context(), "copy of one.csv"); err != nil || p.Name != first.Passes[0] {
		t.Errorf("found by the second name: %+v %v", p, err)
	}
}

func lostOriginalHeals(t *testing.T, s *store.Store) {
	text := ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2")
	a := add(t, s, "one.csv", text)
	path := s.OriginalPath(a.SHA256)
	harm := map[string]func() error{
		"lost": func() error { return os.Remove(path) },
		"damaged": func() error {
			os.Chmod(path, 0o600)
			return os.WriteFile(path, []byte(strings.Replace(text, "3.5", "3.6", 1)), 0o600)
		},
	}
	for name, do := range harm {
		if err := do(); err != nil {
			t.Fatal(err)
		}
		c, err := s.Verify(t.Context(), nil)
		if err != nil || len(c.Faults) != 1 || c.Faults[0].Hint == "" {
			t.Fatalf("%s: verify gave %+v, %v", name, c.Faults, err)
		}
		if got := add(t, s, "one.csv", text); got.Outcome != store.Healed {
			t.Errorf("%s: %+v", name, got)
		}
		Sound(t, s)
	}
}

// grownLog is a file taken while the recorder was still writing it.
func grownLog(t *testing.T, s *store.Store) {
	head := ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2")
	short := add(t, s, "growing.csv", head)
	long := add(t, s, "growing.csv", head+strings.Repeat("0.25,1,2\n", 50))
	if long.Outcome != store.Added || !slices.Equal(long.Passes, short.Passes) {
		t.Errorf("the longer log's passes are called %v, were %v", long.Passes, short.Passes)
	}
	list, err := s.Passes(t.Context(), store.Filter{Car: "finch"})
	if err != nil || len(list) != 1 || list[0].SHA256 != long.SHA256 {
		t.Errorf("passes %+v, %v", list, err)
	}
	if got := add(t, s, "growing.csv", head); got.Outcome != store.InTrash {
		t.Errorf("the shorter one again: %+v", got)
	}
	// Another log under the same name is another log.
	other := add(t, s, "growing.csv", ToyLog("Finch", 500, "2031-05-18T10:21 12.5 80"))
	if list, _ := s.Passes(t.Context(), store.Filter{Car: "finch"}); len(list) != 2 || slices.Equal(other.Passes, long.Passes) {
		t.Errorf("passes %+v", list)
	}
}

func batch(t *testing.T, s *store.Store) {
	var paths []string
	for i := range 20 {
		text := ToyLog("Finch", i+1, "2031-05-17T10:21 12.5 81.2")
		if i == 7 {
			text = "no log"
		}
		paths = append(paths, Write(t, string(rune('a'+i))+".csv", text))
	}
	var told []store.Progress
	if err := s.AddAll(t.Context(), paths, Toy, func(p store.Progress) { told = append(told, p) }); err != nil {
		t.Fatal(err)
	}
	for i, p := range told {
		if p.Done != i+1 || p.Total != 20 || p.Addition.File != filepath.Base(paths[i]) || (p.Err != nil) != (i == 7) {
			t.Errorf("%d: %+v", i, p)
		}
	}
	list, err := s.Passes(t.Context(), store.Filter{Car: "finch"})
	if err != nil || len(list) != 19 || list[18].Name != "finch-2031-05-17-19" || list[18].File != "t.csv" {
		t.Errorf("%d passes, %v", len(list), err)
	}
}
