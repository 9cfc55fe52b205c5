package car

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"traplight/internal/quantity"
)

// anySheet draws a text that states a random choice of keys in random units.
func anySheet(t *rapid.T) string {
	var b strings.Builder
	w := &written{tyre: map[string]*wheelText{}}
	table := ""
	gears := rapid.IntRange(1, 8).Draw(t, "gears")
	for _, f := range inOrder(sheetFields(&Sheet{}, w)) {
		if f.table != table {
			b.WriteString("\n[" + f.table + "]\n")
			table = f.table
		}
		// Keys that exclude others have their own tests.
		if f.tail == "_by_gear" && f.stems[0] == "final_drive" || f.stems[0] == "wet" || f.stems[0] == "dry" || f.words != nil || f.stems[0] == "valid_from" || f.stems[0] == "speed_symbol" {
			continue
		}
		if !rapid.Bool().Draw(t, f.stems[0]) {
			continue
		}
		units := f.dim.units
		if units == nil {
			units = plain.units
		}
		u := rapid.SampledFrom(units).Draw(t, "unit")
		k := key(rapid.SampledFrom(f.stems).Draw(t, "stem"), u.suffix, f.tail)
		num := func() string {
			lo, hi := f.likely.lo, f.likely.hi
			if f.likely.none() {
				lo, hi = f.limits.lo, f.limits.hi
			}
			if f.limits.none() || math.IsInf(hi, 1) {
				lo, hi = math.Max(lo, 0.5), math.Max(lo, 0.5)+1
			}
			if f.limits.open {
				lo = math.Max(lo, math.Nextafter(f.limits.lo, hi)+1e-6*math.Abs(hi))
			}
			return show((rapid.Float64Range(lo, hi).Draw(t, k) - u.offset) / u.factor)
		}
		switch f.dst.(type) {
		case *string:
			b.WriteString(k + " = " + quote(rapid.StringN(0, 12, 40).Draw(t, k)) + "\n")
		case *bool:
			b.WriteString(k + " = " + show(rapid.Bool().Draw(t, k)) + "\n")
		case *int:
			b.WriteString(k + " = " + show(int64(rapid.IntRange(int(f.limits.lo), int(f.limits.hi)).Draw(t, k))) + "\n")
		case *[]int:
			b.WriteString(k + " = [1, 3]\n")
		case *float64, *quantity.Estimate:
			b.WriteString(k + " = " + num() + "\n")
		case *[]float64:
			list := make([]string, gears)
			if f.stems[0] == "gears" {
				ratio := rapid.Float64Range(1, 6).Draw(t, "first")
				for i := range list {
					list[i] = show(ratio)
					ratio *= rapid.Float64Range(0.5, 0.99).Draw(t, "step")
				}
			} else {
				for i := range list {
					list[i] = num()
				}
				if strings.Contains(f.stems[0], "pump") { // points of a curve
					for i := range list {
						x := float64(i + 1)
						if strings.Contains(f.stems[0], "flow") {
							x = 90 - x
						}
						list[i] = show(x)
					}
				}
			}
			b.WriteString(k + " = [" + strings.Join(list, ", ") + "]\n")
		}
	}
	return b.String()
}

// What is printed reads back as the same car, whatever was stated and in whatever
// unit; and printing that again gives the same.
func TestPrintAndParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.TrimPrefix(anySheet(t), "\n[]")
		s, err := ParseSheet("any.toml", []byte(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if len(s.Unread) > 0 {
			t.Fatalf("%q", s.Notes)
		}
		printed := s.TOML()
		back, err := ParseSheet("any.toml", printed)
		if err != nil {
			t.Fatalf("%v\n%s", err, printed)
		}
		if diff := cmp.Diff(s, back, physical(1e-12)); diff != "" {
			t.Fatalf("%s\n%s", diff, printed)
		}
		for _, a := range back.Assumed {
			if !slices.Contains(s.Assumed, a) && !strings.Contains(a, "injectors_rated") {
				t.Fatalf("a new assumption after printing: %s", a)
			}
		}
		if again, err := ParseSheet("any.toml", back.TOML()); err != nil || cmp.Diff(back, again, physical(1e-12)) != "" {
			t.Fatalf("printing twice is not printing once: %v", err)
		}
	})
}

// Every key that differs in one letter from a known one is told with that key as the
// nearest, or another as near.
func TestNearestKey(t *testing.T) {
	fields := sheetFields(&Sheet{}, &written{tyre: map[string]*wheelText{}})
	known := spellings(fields, "engine")
	all := keysOf(known)
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(all).Draw(t, "key")
		i := rapid.IntRange(0, len(k)-1).Draw(t, "at")
		typo := k[:i] + string(rapid.RuneFrom([]rune("abcxyz")).Draw(t, "letter")) + k[i+1:]
		if slices.Contains(all, typo) || len(k) < 4 {
			return
		}
		best, ok := nearestOf(typo, all)
		if !ok || distance(typo, best) > 1 {
			t.Fatalf("%q: nearest %q, want %q", typo, best, k)
		}
	})
	for _, r := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"mass", "", 4}, {"mass", "mas", 1}, {"mass", "mssa", 2}, {"gears", "gaers", 1}, {"kitten", "sitting", 3}} { // last: Levenshtein's textbook pair
		if d := distance(r.a, r.b); d != r.want || distance(r.b, r.a) != d {
			t.Errorf("%q to %q: %d, want %d", r.a, r.b, d, r.want)
		}
	}
}

// No two keys of a table mean different things.
func TestKeysAreUnique(t *testing.T) {
	check := func(what string, fields []field) {
		seen := map[string]any{}
		for i := range fields {
			f := &fields[i]
			for k, sp := range spellings(fields[i:i+1], f.table) {
				k = f.table + "." + k
				if old, ok := seen[k]; ok && old != sp.f.dst {
					t.Errorf("%s: %s means two things", what, k)
				}
				seen[k] = sp.f.dst
			}
			if f.example == "" || f.doc == "" {
				t.Errorf("%s: %s is not explained", what, f.mainKey())
			}
		}
	}
	check("sheet", sheetFields(&Sheet{}, &written{tyre: map[string]*wheelText{}}))
	check("pass", passFields(&PassNote{}, noAir()))
	check("planned", plannedFields(&Planned{}, noAir()))
	check("strip", stripFields(&Strip{}))
	check("event", eventFields(&Event{}))
}

func seeds(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.toml")
	for _, name := range files {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data)
		}
	}
	f.Add(Commented(false))
	f.Add(Commented(true))
	f.Add(CommentedNotes(false))
	f.Add([]byte("[[pass]]\npass = 1\n[pass.x]\n"))
	f.Add([]byte("[a]\n[[a.b]]\n[a.b.c]\nd = [{e = 1}, {e = [[]]}]\n"))
	f.Add([]byte("\xff\xfe[\x00b\x00]\x00"))
	f.Add([]byte("pass = [{file = \"a\"}, 3]\n\"\".\"\" = 1"))
}

// Whatever the bytes, the reader answers with a sheet that can be described and
// printed, or with an error that has a place or says why not.
func FuzzParseSheet(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseUsableSheet("f.toml", data)
		if err == nil {
			_ = Describe(s, true)
			err = joined(s.Wrong)
		}
		if err != nil && !strings.HasPrefix(err.Error(), "f.toml") {
			t.Fatalf("an error without a place: %v", err)
		}
		if s == nil {
			return
		}
		if _, strict := ParseSheet("f.toml", data); (strict == nil) != (err == nil) {
			t.Fatalf("%v, but strictly %v", err, strict)
		}
		if err != nil {
			// what was left out is not printed
		} else if _, err := ParseSheet("f.toml", s.TOML()); err != nil {
			t.Fatalf("printed sheet: %v\n%s", err, s.TOML())
		}
		for _, e := range []quantity.Estimate{s.Mass, s.DragArea, s.TyreRadius, s.CGHeight, s.Wheelbase, s.EngineInertia, s.DrivenInertia} {
			if !(e.Value > 0) || !(e.SD >= 0) || math.IsInf(e.Value, 0) {
				t.Fatalf("estimate %+v", e)
			}
		}
	})
}

func FuzzParseNotes(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		n, err := ParseUsableNotes("f.toml", data)
		if err == nil {
			err = joined(n.Wrong)
		}
		if err != nil && !strings.HasPrefix(err.Error(), "f.toml") {
			t.Fatalf("an error without a place: %v", err)
		}
		if n == nil {
			return
		}
		for i := range n.Passes {
			p := &n.Passes[i]
			if s := n.StripFor(p); !(s.Length > 0) || !(s.TrapWindow > 0) {
				t.Fatalf("strip %+v", s)
			}
			if p.File != "" && n.For(p.File, p.Index) == nil {
				t.Fatalf("pass %q, %d is not found", p.File, p.Index)
			}
		}
		for i := range n.Planned {
			_ = n.WeatherFor(&n.Planned[i])
		}
	})
}
