package csv

import (
	"bytes"
	"fmt"
	"strings"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// top takes names, units and metadata from the lines above the samples.
func (r *reader) top(lines []headLine) {
	var above [][]string
	for _, l := range lines[:r.d.first] {
		var cells []string
		if len(bytes.TrimSpace(l.text)) > 0 {
			for _, c := range splitCells(l.text, r.d.sep) {
				cells = append(cells, r.decode(c))
			}
		}
		above = append(above, cells)
	}
	r.h = readHeader(above, r.d.fields)
	if !r.h.found {
		r.book.Add("the file has no line of names; columns are called by their number", 0)
	}
	// Names that stand one cell short belong to the cells behind a leading row
	// number, if the last cell is in use.
	if n := len(r.h.raw); r.h.found && n == r.d.fields-1 && r.lastInUse(lines) {
		r.h.names = append([]string{""}, r.h.names[:n]...)
		r.h.units = append([]string{""}, r.h.units[:n]...)
		r.numbered = true
		r.book.Add("one cell more than names in each row; the first is taken for a row number", lines[r.d.first].number)
	}
	metaLines := r.d.first
	for n := r.h.lines; n > 0 && metaLines > 0; metaLines-- {
		if len(above[metaLines-1]) > 0 {
			n--
		}
	}
	for _, l := range lines[:metaLines] {
		r.metadata(l.text)
	}
	r.cols = make([]column, r.d.fields)
	r.place = make([]int, r.d.fields)
	for i := range r.cols {
		r.cols[i].name, r.cols[i].unit = r.h.names[i], r.h.units[i]
		r.place[i] = i
	}
}

// lastInUse says whether rows that are one cell longer than the names begin with
// a row number: their last cell is used, or their first counts one by one.
// Otherwise they just end in a separator.
func (r *reader) lastInUse(lines []headLine) bool {
	used, rows, counted := 0, 0, 0
	last := 0.0
	for _, l := range lines[r.d.first:] {
		cells := splitCells(l.text, r.d.sep)
		if len(cells) != r.d.fields {
			continue
		}
		rows++
		if len(trimCell(cells[len(cells)-1])) > 0 {
			used++
		}
		v, ok := number(trimCell(cells[0]), r.d.mark)
		if ok && (rows == 1 || v == last+1) {
			counted++
		}
		last = v
	}
	return used > 0 || rows > 3 && counted == rows
}

// decode turns a cell into text.
func (r *reader) decode(cell []byte) string {
	s := r.cs.decode(trimCell(cell))
	return strings.Join(strings.Fields(s), " ")
}

// metadata keeps a line that is not of the table, if it has a key and a value.
func (r *reader) metadata(line []byte) {
	s := strings.TrimSpace(r.cs.decode(line))
	s = strings.TrimSpace(strings.TrimLeft(s, "#!%;/ \t"))
	if s == "" {
		return
	}
	if len(r.meta) >= 1000 || len(s) > 4096 {
		return
	}
	cells := splitCells(line, r.d.sep)
	if len(cells) >= 2 {
		key := strings.TrimRight(strings.TrimLeft(r.decode(cells[0]), "#!%;/ "), ":= ")
		var rest []string
		for _, c := range cells[1:] {
			if v := r.decode(c); v != "" {
				rest = append(rest, v)
			}
		}
		if key != "" && len(rest) > 0 && !strings.ContainsAny(key, "=:") {
			r.keep(key, strings.Join(rest, ", "))
			return
		}
	}
	for _, mark := range []string{"=", ": ", ":", "\t", ";", ","} {
		if k, v, ok := strings.Cut(s, mark); ok && strings.TrimSpace(k) != "" {
			r.keep(strings.Trim(k, " \""), strings.Trim(v, " \","))
			return
		}
	}
}

func (r *reader) keep(key, value string) {
	if _, taken := r.meta[key]; !taken && value != "" {
		r.meta[key] = value
	}
}

// noTable says why there is nothing to read.
func (r *reader) noTable(lines []headLine, fail func(error, int, string, string) error) error {
	for _, sep := range separators[:len(separators)-1] {
		for i := len(lines) - 1; i >= 0; i-- {
			if n := len(splitCells(lines[i].text, sep)); n >= 3 {
				return fail(table.ErrNoRows, lines[i].number, fmt.Sprintf("%d names, then nothing that is a row of numbers", n), "")
			}
		}
	}
	return fail(table.ErrNoTable, 0, quantity.Count(len(lines), "line looked at", "lines looked at"), "a log needs at least a time column and one channel, separated by commas, semicolons, tabs, bars, carets or tildes")
}
