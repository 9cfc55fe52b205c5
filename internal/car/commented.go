package car

import (
	"fmt"
	"slices"
	"strings"
)

// tableText introduces the tables of the commented sheet.
var tableText = map[string]string{
	"body":      "Weights and shape.",
	"driveline": "From the clutch to the hubs.",
	"tyres":     "The driven tyres; put undriven_ (or front_, rear_) before a key for others.",
	"engine":    "Engine, fuel and boost. Keys with boost are gauge, keys with pressure absolute.",
	"limits":    "Your own hard limits; a plan does not pass them.",
	"nitrous":   "Leave out when there is none.",
	"target":    "What you are after.",
}

const sheetHead = `# A car sheet. Take the # away from what you know and put your own figure in its
# place; leave the rest, which is then assumed with a wide spread and said so. Every
# key ends in its unit, and most may be written in another one, as noted. A key with
# _sd before the unit states how far a figure may be off (a standard deviation):
# mass_sd_kg = 5. When the car changes, copy the sheet, raise revision and valid_from.

`

// Commented returns a car sheet with every key explained, for a new car, in metric keys
// or in those of a shop that thinks in pounds, inches and psi. As it stands it states
// only a name (and, of the latter, the units); it parses without a note, and so does it
// with any one line opened.
func Commented(us bool) []byte {
	w := &written{tyre: map[string]*wheelText{}}
	var b strings.Builder
	head := sheetHead
	if us {
		head = strings.Replace(head, "mass_sd_kg = 5", "mass_sd_lb = 10", 1)
	}
	b.WriteString(head)
	last := ""
	for _, f := range inOrder(sheetFields(&Sheet{}, w)) {
		if len(f.stems[0]) > 6 && f.table == "tyres" && prefixed(f.stems[0]) {
			continue // explained in the table's heading
		}
		if f.table != last {
			fmt.Fprintf(&b, "\n# %s\n[%s]\n", tableText[f.table], f.table)
			last = f.table
		}
		open := "# "
		if f.table == "" && f.stems[0] == "name" {
			open = ""
		}
		if us && f.table == "" && f.stems[0] == "units" {
			open = ""
		}
		b.WriteString(open + f.line(us))
	}
	b.WriteString(`
# Corrections for channels that were guessed wrongly: name in the log = quantity, with
# its number where there are several, and its unit.
[channels]
# "EGT 1" = "exhaust_temperature[1] °C"
`)
	return []byte(b.String())
}

func prefixed(stem string) bool {
	for _, p := range tyrePrefixes {
		if p != "" && strings.HasPrefix(stem, p) {
			return true
		}
	}
	return false
}

// line is "key = example  # what it is; or key in the other unit".
func (f *field) line(us bool) string {
	text, first, example := f.doc, f.mainKey(), f.example
	if f.dim.twin != "" {
		other := key(f.stems[0], f.dim.twin, f.tail)
		if us && f.hasUS() {
			first, other, example = other, first, f.inTwin(f.example)
		}
		text += "; or " + other
	}
	return fmt.Sprintf("%-44s # %s\n", first+" = "+example, text)
}

// inOrder brings the fields of one table together, tables in order of their first
// field.
func inOrder(fields []field) []field {
	var tables []string
	for i := range fields {
		if !slices.Contains(tables, fields[i].table) {
			tables = append(tables, fields[i].table)
		}
	}
	out := make([]field, 0, len(fields))
	for _, t := range tables {
		for _, f := range fields {
			if f.table == t {
				out = append(out, f)
			}
		}
	}
	return out
}

const notesHead = `# Notes of the passes. One [[pass]] for each run; leave out what nobody measured. Most
# keys may be written in another unit, as noted.
`

// CommentedNotes returns a notes file with every key explained, in metric keys or in those of
// a shop that thinks in pounds, inches and psi. As it stands it holds no pass; it parses
// without a note.
func CommentedNotes(us bool) []byte {
	var b strings.Builder
	b.WriteString(notesHead)
	part := func(head, text string, fields []field) {
		fmt.Fprintf(&b, "\n# %s\n# [[%s]]\n", text, head)
		for i := range fields {
			b.WriteString("# " + fields[i].line(us))
		}
	}
	part("strip", "A place where passes are run.", stripFields(&Strip{}))
	part("event", "Some days at a strip.", eventFields(&Event{}))
	part("pass", "One run.", passFields(&PassNote{}, noAir()))
	part("planned", "A pass to come, as changes against the pass named in after.", plannedFields(&Planned{}, noAir()))
	return []byte(b.String())
}
