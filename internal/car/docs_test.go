package car

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

var update = flag.Bool("update", false, "rewrite the tables of keys in docs")

// keyTable is the table of one table's keys, for the page.
func keyTable(fields []field, table string) string {
	var b strings.Builder
	b.WriteString("| key | also in | may be | right to | meaning |\n|---|---|---|---|---|\n")
	for i := range fields {
		f := &fields[i]
		if f.table != table || f.table == "tyres" && prefixed(f.stems[0]) {
			continue
		}
		var also []string
		if len(f.dim.units) > 1 {
			for _, u := range f.dim.units[1:] {
				if s := "`" + u.suffix + "`"; u.suffix != "" && u.suffix != f.dim.units[0].suffix && !strings.Contains(strings.Join(also, " "), s) {
					also = append(also, s)
				}
			}
		}
		for _, s := range f.stems[1:] {
			u := ""
			if len(f.dim.units) > 0 {
				u = f.dim.units[0].suffix
			}
			also = append(also, "`"+key(s, u, f.tail)+"`")
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", f.mainKey(), strings.Join(also, " "), f.range_(), f.right(), f.doc)
	}
	return b.String()
}

// range_ is what a value may be, in the first unit.
func (f *field) range_() string {
	if f.words != nil {
		return strings.Join(f.words, ", ")
	}
	if f.limits.none() {
		return ""
	}
	u := plain.units[0]
	if len(f.dim.units) > 0 {
		u = f.dim.units[0]
	}
	show := func(si float64) string { return strconv.FormatFloat((si-u.offset)/u.factor, 'g', 4, 64) }
	switch {
	case f.limits.hi > 1e300 && f.limits.open:
		return "over " + show(f.limits.lo)
	case f.limits.hi > 1e300:
		return "from " + show(f.limits.lo)
	case f.limits.open:
		return "over " + show(f.limits.lo) + " to " + show(f.limits.hi)
	}
	return show(f.limits.lo) + " to " + show(f.limits.hi)
}

// right is the standard deviation of a stated value.
func (f *field) right() string {
	if _, ok := f.dst.(*quantity.Estimate); !ok {
		return ""
	}
	var parts []string
	if f.rel > 0 {
		parts = append(parts, fmt.Sprintf("%.3g %%", 100*f.rel))
	}
	if f.abs > 0 {
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%.3g %s", f.abs/f.dim.units[0].factor, f.dim.units[0].suffix)))
	}
	return strings.Join(parts, " + ")
}

// The pages list exactly the keys that the program reads.
func TestPages(t *testing.T) {
	sheet := inOrder(sheetFields(&Sheet{}, &written{tyre: map[string]*wheelText{}}))
	tables := map[string]string{"keys top": keyTable(sheet, "")}
	for name := range tableText {
		tables["keys "+name] = keyTable(sheet, name)
	}
	tables["defaults"] = "```\n" + Defaults() + "```\n"
	check(t, "car-sheet.md", tables)
	check(t, "notes.md", map[string]string{
		"keys pass": keyTable(passFields(&PassNote{}, noAir()), ""), "keys planned": keyTable(plannedFields(&Planned{}, noAir()), ""),
		"keys strip": keyTable(stripFields(&Strip{}), ""), "keys event": keyTable(eventFields(&Event{}), ""),
	})
}

// check compares what stands between <!-- name --> and <!-- end --> with the tables.
func check(t *testing.T, page string, tables map[string]string) {
	t.Helper()
	path := filepath.Join("..", "..", "docs", page)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(data), "\r\n", "\n")
	for name, want := range tables {
		begin, end := "<!-- "+name+" -->\n", "<!-- end -->\n"
		_, rest, found := strings.Cut(text, begin)
		if !found {
			t.Errorf("%s has no place for %q", page, name)
			continue
		}
		got, _, _ := strings.Cut(rest, end)
		if got != want {
			if !*update {
				t.Errorf("%s: the table %q is out of date; run go test ./internal/car -update", page, name)
			}
			text = strings.Replace(text, begin+got+end, begin+want+end, 1)
		}
	}
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
