// Package table is the form in which the readers of the single formats hand over
// what a file holds: columns as printed, before anybody has decided which of
// them is the clock. It knows nothing of channels.
package table

import (
	"fmt"
	"strings"
)

// Kind says what the cells of a column are.
type Kind int

// The kinds of columns.
const (
	Numbers   Kind = iota // plain numbers
	TimeOfDay             // Values are seconds since midnight
	DateTime              // Values are seconds since the midnight that begins Day
	Date                  // Values are seconds from Day to the midnight that begins the date
	Words                 // Text holds the cells
)

// Column is one column of a table.
type Column struct {
	Name   string // as in the file, without the unit
	Unit   string // as in the file, "" when it states none
	Kind   Kind
	Values []float64 // as printed, or s for times (see Kind); NaN where the cell is blank or not understood
	Day    int64     // of DateTime and Date: days since 1970-01-01 of the first value
	Zone   string    // of DateTime: the zone as printed, "" when none
	Text   []string  // of Words: the cells
	// Period is when a TimeOfDay column begins anew: 86400 s, or 3600 s when
	// only minutes and seconds are printed.
	Period float64 // s
	// Times holds the column's own clock where the format gives one, else nil.
	Times []float64 // s
}

// Part is where a stretch of rows begins under a header of its own.
type Part struct {
	Row  int // index of its first row
	Line int // line of that row in the file, from 1; 0 when the format has no lines
}

// Table is a file's content.
type Table struct {
	Format  string            // "csv", "parquet", …
	Meta    map[string]string // metadata, key → value as in the file
	Columns []Column
	Rows    int
	Parts   []Part // at least one when Rows > 0
	// Clock is the index of the column that the format itself names as the
	// clock, -1 when it names none.
	Clock int
	// Exact says that the clock's stamps are the instants themselves, not the
	// rounded times at which rows were written: a satellite's clock.
	Exact bool
	Notes []string // what was assumed and what was dropped, a sentence each
}

// Line is the line of a row in the file, 0 when the format has no lines. It is
// exact as long as no line was dropped between the beginning of the part and
// the row.
func (t *Table) Line(row int) int {
	line := 0
	for _, p := range t.Parts {
		if p.Row > row {
			break
		}
		if p.Line > 0 {
			line = p.Line + row - p.Row
		}
	}
	return line
}

// Tally collects remarks of one sort and tells them in one sentence.
type Tally struct {
	text  string
	lines []int
	n     int
}

// Book is a set of tallies in the order in which they first came.
type Book struct{ tallies []*Tally }

// Add counts one more case of the remark at a line (0: no line to name).
func (b *Book) Add(remark string, line int) {
	for _, t := range b.tallies {
		if t.text == remark {
			t.add(line)
			return
		}
	}
	t := &Tally{text: remark}
	t.add(line)
	b.tallies = append(b.tallies, t)
}

func (t *Tally) add(line int) {
	t.n++
	if line > 0 && len(t.lines) < 3 {
		t.lines = append(t.lines, line)
	}
}

// Sentences tells everything that was counted.
func (b *Book) Sentences() []string {
	var out []string
	for _, t := range b.tallies {
		switch {
		case len(t.lines) == 0 && t.n == 1:
			out = append(out, t.text)
		case len(t.lines) == 0:
			out = append(out, fmt.Sprintf("%s (%d times)", t.text, t.n))
		case t.n == 1:
			out = append(out, fmt.Sprintf("line %d: %s", t.lines[0], t.text))
		default:
			s := strings.Trim(strings.Join(strings.Fields(fmt.Sprint(t.lines)), ", "), "[]")
			if more := t.n - len(t.lines); more > 0 {
				s += fmt.Sprintf(" and %d more", more)
			}
			out = append(out, fmt.Sprintf("lines %s: %s", s, t.text))
		}
	}
	return out
}
