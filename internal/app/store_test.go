package app

import (
	"compress/gzip"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"traplight/internal/report"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
)

// shopFolder is a folder with some of the bench's logs, its notes and the cars' sheets.
func shopFolder(t *testing.T, logs ...string) string {
	t.Helper()
	from, dir := filepath.Join("..", "..", "bench", "accuracy", "testdata"), t.TempDir()
	for _, name := range append([]string{"car_marlin.toml", "car_heron.toml", "passes.toml"}, logs...) {
		data, err := os.ReadFile(filepath.Join(from, name))
		if err != nil {
			in, openErr := os.Open(filepath.Join(from, name+".gz"))
			if openErr != nil {
				t.Fatal(err)
			}
			defer in.Close()
			z, err := gzip.NewReader(in)
			if err != nil {
				t.Fatal(err)
			}
			if data, err = io.ReadAll(z); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func openShop(t *testing.T) *Shop {
	t.Helper()
	s, err := OpenShop(t.Context(), filepath.Join(t.TempDir(), "data"), "test", true)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// add adds and gives what was told, one line each.
func (s *Shop) add(t *testing.T, q AddRequest) (lines []string) {
	t.Helper()
	_, err := s.Add(t.Context(), q, func(a Added) {
		line := a.Kind + " " + a.File + ": " + a.Outcome
		if a.Err != nil {
			line = a.Kind + " " + a.File + " failed: " + a.Err.Error()
		}
		lines = append(lines, line)
	})
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

// TestStoredReport holds the report in the store against that of the files alone, with
// the same history.
func TestStoredReport(t *testing.T) {
	dir, s := shopFolder(t, "a01_marlin.csv", "a02_marlin.csv", "a08_marlin.csv"), openShop(t)
	lines := s.add(t, AddRequest{Paths: []string{dir}})
	want := []string{
		"sheet car_heron.toml: Heron, revision 1, holds always", "sheet car_marlin.toml: Marlin, revision 1, holds always",
		"notes passes.toml: 23 of 23 entries new or changed",
		"log a01_marlin.csv: added", "log a02_marlin.csv: added", "log a08_marlin.csv: added",
		"report a02_marlin.csv: held against one earlier log", "report a08_marlin.csv: held against 2 earlier logs",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("told %q", lines)
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	r, err := Report(t.Context(), ReportRequest{
		Logs: []string{in("a08_marlin.csv")}, Cars: []string{in("car_marlin.toml")}, Notes: in("passes.toml"),
		History: []string{in("a01_marlin.csv"), in("a02_marlin.csv")}, Without: []string{"ledger"},
	})
	if err != nil {
		t.Fatal(err)
	}
	fromFiles, err := json.Marshal(r.Passes)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := s.Result(t.Context(), r.Log.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	stored := &report.Report{}
	if err := json.Unmarshal(kept.Report, stored); err != nil {
		t.Fatal(err)
	}
	fromStore, err := json.Marshal(stored.Passes)
	if err != nil {
		t.Fatal(err)
	}
	if string(fromFiles) != string(fromStore) {
		t.Errorf("the stored passes differ from those of the files")
	}
	p, err := s.FindOne(t.Context(), "a08")
	if err != nil || p.Event != "north" || p.RunAt != "2031-05-18T14:30" || p.TrapSpeed == nil || *p.TrapSpeed != *r.Passes[0].Trap.SpeedMps || p.Verdict != *r.Passes[0].Health.Verdict {
		t.Errorf("catalogue %+v, %v", p, err)
	}
	// By name, the files come with the same history.
	n, err := Resolve(t.Context(), s.Dir(), "test", []string{"/somewhere/a08"}, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	defer n.Close()
	if len(n.Logs) != 1 || filepath.Base(n.Logs[0]) != "a08_marlin.csv" || len(n.History) != 2 || len(n.Cars) != 1 || n.Picks[0] != 0 {
		t.Errorf("by name: %+v", n)
	}
}

// TestRenewed changes what reports were made of.
func TestRenewed(t *testing.T) {
	dir, s := shopFolder(t, "a01_marlin.csv"), openShop(t)
	s.add(t, AddRequest{Paths: []string{dir}})
	speed := func() float64 {
		p, err := s.FindOne(t.Context(), "a01")
		if err != nil {
			t.Fatal(err)
		}
		return *p.TrapSpeed
	}
	before := speed()
	change := func(name, old, new string) string {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !strings.Contains(string(data), old) {
			t.Fatalf("%s: no %q, %v", name, old, err)
		}
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(strings.Replace(string(data), old, new, 1)), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	const anew = "report a01_marlin.csv: made anew"
	if lines := s.add(t, AddRequest{Paths: []string{dir}}); slices.Contains(lines, anew) {
		t.Errorf("nothing changed: %q", lines)
	}
	// The slip weighs in the report; a comment does not.
	if lines := s.add(t, AddRequest{Paths: []string{change("passes.toml", "# what the crew", "# what they")}}); slices.Contains(lines, anew) {
		t.Errorf("a comment changed: %q", lines)
	}
	if lines := s.add(t, AddRequest{Paths: []string{change("passes.toml", "slip_trap_mph = 181.45", "slip_trap_mph = 182.10")}}); !slices.Contains(lines, anew) || speed() == before {
		t.Errorf("the slip changed: %q, trap %v", lines, speed())
	}
	// A sheet that holds from now on leaves the past alone; one for always does not.
	heavier := change("car_marlin.toml", "mass_kg = 1243", "mass_kg = 1300")
	if lines := s.add(t, AddRequest{Paths: []string{heavier}, From: "2099-01-01"}); slices.Contains(lines, anew) || !strings.Contains(lines[0], "revision 2, holds from 2099-01-01") {
		t.Errorf("a sheet from later on: %q", lines)
	}
	if lines := s.add(t, AddRequest{Paths: []string{heavier}, From: store.Always}); !slices.Contains(lines, anew) {
		t.Errorf("a sheet for always: %q", lines)
	}
	// A correction of a channel of the car.
	if err := s.Correct(t.Context(), "marlin", "GPS Speed", "unknown"); err != nil {
		t.Fatal(err)
	}
	if lines := s.add(t, AddRequest{Paths: []string{heavier}}); len(lines) != 2 || lines[1] != anew {
		t.Errorf("a channel corrected: %q", lines)
	}
	// What the notes say was inspected is entered, once.
	done := change("passes.toml", `id = "a01"`, "id = \"a01\"\ninspected = \"plugs read: clean\"")
	for range 2 {
		s.add(t, AddRequest{Paths: []string{done}})
	}
	p, _ := s.FindOne(t.Context(), "a01")
	if list, err := s.Inspections(t.Context(), p.Name); err != nil || len(list) != 1 || list[0].Found != "plugs read: clean" {
		t.Errorf("inspections %+v, %v", list, err)
	}
}

// TestWhoseLog refuses to guess whose log it is, where its head does not say so.
func TestWhoseLog(t *testing.T) {
	dir, s := shopFolder(t, "a01_marlin.csv", "b01_heron.csv"), openShop(t)
	in := func(name string) string { return filepath.Join(dir, name) }
	text, err := os.ReadFile(in("b01_heron.csv"))
	if err != nil {
		t.Fatal(err)
	}
	nameless := strings.Replace(string(text), "vehicle = Heron", "vehicle = 7", 1)
	if nameless == string(text) {
		t.Fatal("the log's head is not as this test knows it")
	}
	if err := os.WriteFile(in("b01_heron.csv"), []byte(nameless), 0o600); err != nil {
		t.Fatal(err)
	}
	expect := func(q AddRequest, want string) {
		t.Helper()
		if lines := s.add(t, q); !strings.Contains(lines[len(lines)-1], want) {
			t.Errorf("%v: %q, want %q", q.Paths, lines, want)
		}
	}
	expect(AddRequest{Paths: []string{in("a01_marlin.csv")}}, "no car sheet yet")
	expect(AddRequest{Paths: []string{in("a01_marlin.csv")}, Car: in("car_marlin.toml")}, "a01_marlin.csv: added")
	expect(AddRequest{Paths: []string{in("car_heron.toml"), in("car_marlin.toml"), in("b01_heron.csv")}}, "several cars")
	expect(AddRequest{Paths: []string{in("b01_heron.csv")}}, "several cars")
	expect(AddRequest{Paths: []string{in("b01_heron.csv")}, Car: "gannet"}, `called "gannet"`)
	expect(AddRequest{Paths: []string{in("b01_heron.csv")}, Car: "heron"}, "b01_heron.csv: added")
	if p, err := s.FindOne(t.Context(), "b01_heron.csv"); err != nil || p.Car != "Heron" || p.Event != "" {
		t.Errorf("%+v, %v", p, err)
	}
	expect(AddRequest{Paths: []string{in("passes.toml")}}, "made anew") // now the notes say more
	if p, err := s.FindOne(t.Context(), "b01"); err != nil || p.Event != "north" {
		t.Errorf("%+v, %v", p, err)
	}
}

// TestCarInHead takes the car of the store whose name stands in the log's head.
func TestCarInHead(t *testing.T) {
	dir, s := shopFolder(t, "b02_heron.csv"), openShop(t)
	in := func(name string) string { return filepath.Join(dir, name) }
	s.add(t, AddRequest{Paths: []string{in("car_heron.toml")}})
	s.add(t, AddRequest{Paths: []string{in("car_marlin.toml")}})
	if lines := s.add(t, AddRequest{Paths: []string{in("b02_heron.csv")}}); lines[0] != "log b02_heron.csv: added" {
		t.Errorf("%q", lines)
	}
	if p, err := s.FindOne(t.Context(), "b02_heron.csv"); err != nil || p.Car != "Heron" {
		t.Errorf("%+v, %v", p, err)
	}
}

// TestSheetBesideLogs takes the one sheet among the files for that of the logs, though the store
// has several cars, and passes over a folder's texts that hold no log.
func TestSheetBesideLogs(t *testing.T) {
	dir, s := shopFolder(t, "b01_heron.csv"), openShop(t)
	s.add(t, AddRequest{Paths: []string{filepath.Join(dir, "car_marlin.toml")}})
	for _, name := range []string{"car_marlin.toml", "passes.toml"} {
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range map[string]string{
		"todo.txt": "Sunday: buy fuel\n",
		"card.txt": "Pass card\n\ngear  boost, psi  absolute, psi\n1     24.2        38.7\n2     26.3        40.8\n3     33.9        48.4\n",
		"bad.csv":  "no log either\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	lines := strings.Join(s.add(t, AddRequest{Paths: []string{dir}}), "\n")
	for _, want := range []string{"b01_heron.csv: added", "todo.txt in the folder was passed over", "card.txt in the folder was passed over", "log bad.csv failed"} {
		if !strings.Contains(lines, want) {
			t.Errorf("not %q in:\n%s", want, lines)
		}
	}
	if p, err := s.FindOne(t.Context(), "b01_heron.csv"); err != nil || p.Car != "Heron" {
		t.Errorf("%+v, %v", p, err)
	}
	if lines := s.add(t, AddRequest{Paths: []string{filepath.Join(dir, "todo.txt")}}); !strings.Contains(lines[0], "todo.txt failed") {
		t.Errorf("a named text: %q", lines)
	}
}

// TestUndatedInOrder dates logs that tell no date in the order in which they were given, whichever
// is read first.
func TestUndatedInOrder(t *testing.T) {
	began := time.Date(2033, 6, 11, 12, 0, 0, 0, time.Local)
	k := &known{began: began, turn: map[string]int{"a.csv": 0, "b.csv": 1}, added: map[string]time.Time{"old": began.AddDate(0, 0, -1)}}
	b, a := k.addedAt("sum b", "b.csv"), k.addedAt("sum a", "a.csv")
	if !a.Before(b) || a.Before(began) {
		t.Errorf("a at %v, b at %v", a, b)
	}
	if got := k.addedAt("old", "a.csv"); !got.Equal(began.AddDate(0, 0, -1)) {
		t.Errorf("one that is in the store is dated %v", got)
	}
}

func TestWatched(t *testing.T) {
	dir, s := shopFolder(t, "a01_marlin.csv"), openShop(t)
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var logs []string
	err := s.Watch(ctx, AddRequest{}, inbox.Watcher{Folders: []string{dir}, Poll: 20 * time.Millisecond, Settle: 50 * time.Millisecond}, func(a Added) {
		if a.Kind == "log" {
			logs = append(logs, a.File+": "+a.Outcome)
			cancel()
		}
	})
	if err != nil || !slices.Equal(logs, []string{"a01_marlin.csv: added"}) {
		t.Errorf("%q, %v", logs, err)
	}
}
