package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"traplight/internal/pass"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with a file of testdata, or rewrites it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; go test -update writes it", err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s differs (-want +got); go test -update rewrites it, read the difference first:\n%s", name, d)
	}
}

func marshal(t *testing.T, v any) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, v); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestJSON(t *testing.T) {
	r := Assemble([]Source{inventedSource()}, nil, Options{})
	golden(t, "plover.json", marshal(t, r))
}

func TestText(t *testing.T) {
	r := Assemble([]Source{inventedSource()}, nil, Options{})
	for _, units := range []string{"us", "metric"} {
		var b bytes.Buffer
		if err := WriteText(&b, r, TextOptions{Units: units}); err != nil {
			t.Fatal(err)
		}
		golden(t, "plover_"+units+".txt", b.Bytes())
	}
}

// inTable is a line of a table: words or numbers with wide gaps.
var inTable = regexp.MustCompile(`\S {2,}\S`)

func TestTextKeepsToTheWidth(t *testing.T) {
	r := Assemble([]Source{inventedSource()}, nil, Options{})
	var b bytes.Buffer
	if err := WriteText(&b, r, TextOptions{Width: 60}); err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(b.String(), "\n") {
		if len([]rune(l)) <= 60 || inTable.MatchString(l) {
			continue
		}
		t.Errorf("%d characters: %s", len([]rune(l)), l)
	}
}

// TestTimesFollowTheLogsClock: a step of the log's clock stays in the times,
// durations come from the repaired clock.
func TestTimesFollowTheLogsClock(t *testing.T) {
	p := Assemble([]Source{inventedSource()}, nil, Options{}).Passes[0]
	for _, c := range []struct {
		what      string
		got       *float64
		want, tol float64
	}{
		{"launch before the step", p.LaunchS, 110, 1e-9},
		{"finish after it", p.FinishS, 130.3, 1e-9},
		{"shift start before", p.Shifts[0].StartS, 112.5, 1e-9},
		{"shift's duration", p.Shifts[0].DurationS, 0.3, 1e-9},
		{"half-mile time", p.Splits[2].TimeS, 18.2, 1e-9},
	} {
		if c.got == nil || math.Abs(*c.got-c.want) > c.tol {
			t.Errorf("%s: got %v, want %v", c.what, c.got, c.want)
		}
	}
}

// TestMissingIsToldOnce: what no channel gives has a note that names the
// channel; what a channel gave has none.
func TestMissingIsTold(t *testing.T) {
	notes := strings.Join(Assemble([]Source{inventedSource()}, nil, Options{}).Notes, "\n")
	for _, want := range []string{"turbine inlet pressure", "ignition angle", "turbo speed", "no power by fuel", "ledger", "health"} {
		if !strings.Contains(notes, want) {
			t.Errorf("no note about %q in\n%s", want, notes)
		}
	}
	for _, unwanted := range []string{"no lambda", "no gears", "no trap"} {
		if strings.Contains(notes, unwanted) {
			t.Errorf("a note says %q though it is there", unwanted)
		}
	}
	if first := Assemble([]Source{inventedSource()}, nil, Options{}).Notes[0]; !strings.Contains(first, "mas_kg") {
		t.Errorf("the first note is %q, not the unread key", first)
	}
	without := strings.Join(Assemble([]Source{inventedSource()}, nil, Options{Without: []string{"ledger"}}).Notes, "\n")
	if strings.Contains(without, "ledger") {
		t.Error("the ledger was not asked for, yet a note misses it")
	}
}

// TestNoNaN fills every number of a pass with NaN and infinities: none may
// reach the JSON, and the text must still be written.
func TestNoNaN(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		s := inventedSource()
		poison(reflect.ValueOf(s.Passes[0]).Elem(), bad)
		r := Assemble([]Source{s}, nil, Options{})
		var v any
		if err := json.Unmarshal(marshal(t, r), &v); err != nil {
			t.Errorf("%v: %v", bad, err)
		}
		var b bytes.Buffer
		if err := WriteText(&b, r, TextOptions{}); err != nil {
			t.Error(err)
		}
		if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
			t.Errorf("%v reaches the text:\n%s", bad, b.String())
		}
	}
}

func poison(v reflect.Value, bad float64) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(bad)
	case reflect.Pointer:
		if !v.IsNil() {
			poison(v.Elem(), bad)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			poison(v.Field(i), bad)
		}
	case reflect.Slice:
		for i := range v.Len() {
			poison(v.Index(i), bad)
		}
	}
}

func TestDeterministic(t *testing.T) {
	a := marshal(t, Assemble([]Source{inventedSource()}, nil, Options{}))
	b := marshal(t, Assemble([]Source{inventedSource()}, nil, Options{}))
	if !bytes.Equal(a, b) {
		t.Error("the same input gives other bytes")
	}
}

func TestNoPass(t *testing.T) {
	s := inventedSource()
	s.Passes = nil
	r := Assemble([]Source{s}, nil, Options{})
	if got := string(marshal(t, r.Passes)); strings.TrimSpace(got) != "[]" {
		t.Errorf("passes = %s, want []", got)
	}
	var b bytes.Buffer
	if err := WriteText(&b, r, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "No pass was found") {
		t.Error(b.String())
	}
}

// TestNotesOfSeveralPasses: what holds for every pass of a log is told once, the
// rest with the pass's number.
func TestNotesOfSeveralPasses(t *testing.T) {
	s := inventedSource()
	second := *s.Passes[0]
	second.Index, second.Notes = 1, append([]string{"this one is windy."}, second.Notes...)
	s.Passes = append(s.Passes, &second)
	notes := Assemble([]Source{s}, nil, Options{}).Notes
	count := 0
	for _, n := range notes {
		if strings.Contains(n, "drag area") {
			count++
		}
	}
	if count != 1 || !slices.Contains(notes, "pass 2: this one is windy.") {
		t.Errorf("drag area told %d times in %q", count, notes)
	}
}

func TestSeveralLogs(t *testing.T) {
	a, b := inventedSource(), inventedSource()
	b.Log.File = "plover_4.csv"
	r := Assemble([]Source{a, b}, nil, Options{})
	if len(r.Logs) != 2 || len(r.Passes) != 2 || r.Passes[1].File != "plover_4.csv" || r.Log.File != "plover_3.csv" {
		t.Errorf("logs %d, passes %d", len(r.Logs), len(r.Passes))
	}
}

func TestPlaceOutsideTheGridIsAbsent(t *testing.T) {
	m := &pass.Motion{Start: 10, Step: 10, X: []float64{0, 300, 900}, V: []float64{0, 55, 95}}
	if x, v := place(m, 15); x == nil || *x != 150 || *v != 27.5 {
		t.Errorf("half way: %v %v", x, v)
	}
	for _, run := range []float64{9, 31, math.NaN()} {
		if x, _ := place(m, run); x != nil {
			t.Errorf("at %v: %v", run, *x)
		}
	}
}
