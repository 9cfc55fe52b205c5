package csv

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/logfile/table"
)

// nan fills blank cells.
var nan = math.NaN()

// finish turns what was read into a table.
func (r *reader) finish() (*table.Table, error) {
	if r.row == 0 {
		return nil, &table.Error{File: r.name, Line: r.line, Err: table.ErrNoRows}
	}
	t := &table.Table{Format: "csv", Meta: r.meta, Rows: r.row, Parts: r.parts, Clock: -1}
	var inCells []string
	for i := range r.cols {
		c := &r.cols[i]
		if r.numbered && i == 0 {
			continue
		}
		out := table.Column{Name: c.name, Unit: c.unit, Values: r.vals[i][:r.row:r.row]}
		clocks := r.settle(c, &out)
		words := len(c.words)
		if out.Kind == table.Numbers && out.Unit == "" && 2*c.tails > c.numbers {
			out.Unit = c.tail
			inCells = append(inCells, fmt.Sprintf("%q (%s)", c.name, c.tail))
		}
		if out.Kind == table.Numbers && words > 0 && !c.overflow {
			r.book.Add(fmt.Sprintf("column %q: %d cells are no numbers and count as blank, the first in line %d: %q", c.name, words, t.Line(c.words[0].row), c.texts[c.words[0].kind]), 0)
		}
		if out.Name == "" {
			if c.numbers+clocks+words == 0 {
				continue // a separator at the line's end
			}
			out.Name = fmt.Sprintf("column %d", i+1)
		}
		t.Columns = append(t.Columns, out)
	}
	if n := len(inCells); n > 0 {
		if n > 5 {
			inCells = append(inCells[:4], fmt.Sprintf("%d more", n-4))
		}
		r.book.Add("units stand in the cells of "+strings.Join(inCells, ", "), 0)
	}
	t.Notes = r.book.Sentences()
	return t, nil
}

// settle decides what a column holds, by what most of its cells are, and counts
// its plain numbers. clocks is how many cells of the commonest sort of time it
// has.
func (r *reader) settle(c *column, out *table.Column) (clocks int) {
	for _, x := range out.Values {
		if x == x {
			c.numbers++
		}
	}
	kind := table.Numbers
	for k, n := range c.clocks {
		c.numbers -= n
		if n > clocks {
			clocks, kind = n, table.Kind(k)
		}
	}
	switch {
	case c.overflow:
		r.book.Add(fmt.Sprintf("column %q holds words of more than %d sorts and is not kept", c.name, maxWordKinds), 0)
	case len(c.words) > c.numbers+clocks:
		out.Kind = table.Words
		out.Text = make([]string, r.row)
		for _, w := range c.words {
			out.Text[w.row] = c.texts[w.kind]
		}
	case clocks > c.numbers:
		out.Kind, out.Day, out.Period, out.Zone = kind, c.day, 86400, r.zone
		if 2*c.short > clocks {
			out.Period = 3600
		}
	}
	return clocks
}
