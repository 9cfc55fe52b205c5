package storetest

import (
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"traplight/internal/store"
)

// Run holds stores to the promises of package store. open gives a store that
// knows no car called "Finch" or "Quail"; each part of the suite gets its own.
func Run(t *testing.T, open func(t *testing.T) *store.Store) {
	for _, part := range []struct {
		name string
		run  func(*testing.T, *store.Store)
	}{
		{"bytes come back", bytesComeBack},
		{"adding twice", addingTwice},
		{"lost original heals", lostOriginalHeals},
		{"a log that grew", grownLog},
		{"passes keep their names", keptNames},
		{"choosing and finding", choosing},
		{"trash", trash},
		{"sheets", sheets},
		{"notes", notes},
		{"records", records},
		{"corrections", corrections},
		{"batch", batch},
		{"backup", backup},
		{"nonsense is refused", nonsense},
	} {
		t.Run(part.name, func(t *testing.T) {
			s := open(t)
			defer s.Close()
			AddCar(t, s, "Finch")
			part.run(t, s)
			Sound(t, s)
		})
	}
}

func add(t *testing.T, s *store.Store, name, text string) store.Addition {
	t.Helper()
	a, err := s.Add(t.Context(), Write(t, name, text), Toy)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

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

func keptNames(t *testing.T, s *store.Store) {
	a := add(t, s, "two.csv", ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2", "2031-05-17T10:40 1100 80.1"))
	// A new analysis finds a pass before the others, and no longer the second.
	launch, early, trap := 12.61, 3.0, 81.3
	err := s.PutResult(t.Context(), a.SHA256, &store.Analysis{Report: []byte(`{}`), Inputs: "2", Car: "finch", Passes: []store.PassRow{
		{RunAt: "2031-05-17T10:20", Launch: &early},
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

func sheets(t *testing.T, s *store.Store) {
	first := []byte("name = \"Quail\"\nmass = 1\n")
	second := []byte("name = \"Quail\"\nmass = 2\n")
	put := func(body []byte, valid string) (store.Sheet, bool) {
		t.Helper()
		h, isNew, err := s.AddSheet(t.Context(), store.Sheet{Car: "Quail", File: "quail.toml", Body: body, Valid: valid})
		if err != nil {
			t.Fatal(err)
		}
		return h, isNew
	}
	if h, isNew := put(first, ""); !isNew || h.Revision != 1 || h.Valid != "" {
		t.Errorf("first: %+v", h)
	}
	h, isNew := put(second, "")
	if !isNew || h.Revision != 2 || h.Valid == "" {
		t.Errorf("second holds from now: %+v", h)
	}
	for _, body := range [][]byte{first, second, first, second} {
		if _, isNew := put(body, ""); isNew {
			t.Error("a known sheet made a new revision")
		}
	}
	if h, isNew := put(second, store.Always); !isNew || h.Valid != "" || h.Revision != 3 {
		t.Errorf("corrected for always: %+v", h)
	}
	list, err := s.Sheets(t.Context(), "QUAIL")
	if err != nil || len(list) != 3 || !bytes.Equal(list[1].Body, second) {
		t.Errorf("sheets: %d, %v", len(list), err)
	}
	cars, err := s.Cars(t.Context())
	if err != nil || !slices.ContainsFunc(cars, func(c store.Car) bool { return c.Name == "Quail" && c.Revisions == 3 }) {
		t.Errorf("cars %+v, %v", cars, err)
	}
}

func notes(t *testing.T, s *store.Store) {
	base, err := s.Entries(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	pass := store.Entry{Kind: store.PassEntry, Key: "f01", Body: "id = \"f01\"\nslip_trap_mph = 181.2\n"}
	strip := store.Entry{Kind: store.StripEntry, Key: "finch field", Body: "id = \"finch field\"\n"}
	old := []byte("the old file")
	put := func(data []byte, once bool, entries ...store.Entry) int {
		t.Helper()
		changed, err := s.AddNotes(t.Context(), "notes.toml", data, entries, once)
		if err != nil {
			t.Fatal(err)
		}
		return len(changed)
	}
	if n := put(old, true, pass, strip); n != 2 {
		t.Errorf("new: %d", n)
	}
	if n := put(old, true, pass, strip); n != 0 {
		t.Errorf("again: %d", n)
	}
	mended := pass
	mended.Body = strings.Replace(pass.Body, "181", "182", 1)
	if n := put([]byte("the new file"), true, mended, strip); n != 1 {
		t.Errorf("one mended: %d", n)
	}
	if n := put(old, true, pass, strip); n != 0 {
		t.Errorf("the old file in a watched folder: %d", n)
	}
	body := func() string {
		text, err := s.Notes(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if text := body(); !strings.Contains(text, "182.2") || strings.Contains(text, "181.2") {
		t.Errorf("notes: %s", text)
	}
	if n := put(old, false, pass, strip); n != 1 || !strings.Contains(body(), "181.2") {
		t.Errorf("the old file named by hand: %d, %s", n, body())
	}
	all, err := s.Entries(t.Context(), "")
	if err != nil || len(all) != len(base)+2 {
		t.Errorf("entries: %d, were %d, %v", len(all), len(base), err)
	}
}

func records(t *testing.T, s *store.Store) {
	a := add(t, s, "one.csv", ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2"))
	f, err := s.RecordForecast(t.Context(), "Finch", "f02", "inputs", []byte(`{"trap":{"mean_mps":81}}`))
	if err != nil {
		t.Fatal(err)
	}
	g, err := s.RecordForecast(t.Context(), "Finch", "f02", "inputs", []byte(`{"trap":{"mean_mps":82}}`))
	if err != nil || g.Chain == f.Chain || g.RecordedAt < f.RecordedAt {
		t.Errorf("second forecast %+v, %v", g, err)
	}
	list, err := s.Forecasts(t.Context(), "f02")
	if err != nil || len(list) != 2 || string(list[0].Body) != `{"trap":{"mean_mps":81}}` || list[0].Chain != f.Chain {
		t.Errorf("forecasts %+v, %v", list, err)
	}
	for _, body := range []string{`{"error":1}`, `{"error":2}`} {
		if err := s.RecordScore(t.Context(), store.Score{ForecastID: f.ID, Pass: a.Passes[0], Kind: "as run", Body: []byte(body)}); err != nil {
			t.Fatal(err)
		}
	}
	scores, err := s.Scores(t.Context())
	if n := len(scores); err != nil || n == 0 || string(scores[n-1].Body) != `{"error":2}` {
		t.Errorf("scores %+v, %v", scores, err)
	}
	if err := s.RecordInspection(t.Context(), a.Passes[0], "filter cut open: clean", "crew"); err != nil {
		t.Error(err)
	}
	if err := s.RecordInspection(t.Context(), a.Passes[0], "", "crew"); err == nil {
		t.Error("an empty inspection was taken")
	}
	if err := s.RecordInspection(t.Context(), "no such pass", "x", ""); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("inspection of no pass: %v", err)
	}
}

func corrections(t *testing.T, s *store.Store) {
	for _, c := range [][3]string{{"Finch", "P1", "fuel_pressure kPa"}, {"Finch", "P2", "oil_pressure bar"}, {"Finch", "P1", "boost_target kPa"}, {"Finch", "P2", ""}} {
		if err := s.Correct(t.Context(), c[0], c[1], c[2]); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Corrections(t.Context(), "finch")
	if err != nil || len(got) != 1 || got["P1"] != "boost_target kPa" {
		t.Errorf("corrections %v, %v", got, err)
	}
	if _, _, ok, err := s.Learnt(t.Context(), "finch", "tyre radius"); ok || err != nil {
		t.Errorf("learnt before: %v %v", ok, err)
	}
	for _, body := range []string{"1", "2"} {
		if err := s.Learn(t.Context(), "Finch", "tyre radius", "from "+body, []byte(body)); err != nil {
			t.Fatal(err)
		}
	}
	body, inputs, ok, err := s.Learnt(t.Context(), "finch", "tyre radius")
	if !ok || err != nil || string(body) != "2" || inputs != "from 2" {
		t.Errorf("learnt %q %q %v %v", body, inputs, ok, err)
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
