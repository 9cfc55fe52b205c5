package report

import (
	"strings"
	"unicode/utf8"
)

// table is a small text table: right-aligned columns, a heading of two lines
// (name and unit), and no column that has nothing in it.
type table struct {
	names, units []string
	left         []bool
	rows         [][]string
}

// column adds a column; unit may be "".
func (t *table) column(name, unit string) {
	t.names = append(t.names, name)
	t.units = append(t.units, unit)
	t.left = append(t.left, false)
}

// leftColumn adds a column of words.
func (t *table) leftColumn(name string) {
	t.column(name, "")
	t.left[len(t.left)-1] = true
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// write prints the table with an indent, at most limit characters wide where columns
// allow: columns that do not fit stand in a table of their own below, behind the first one
// again. A limit of 0 is none.
func (t *table) write(b *strings.Builder, indent string, limit int) {
	if len(t.rows) == 0 {
		return
	}
	width := make([]int, len(t.names))
	used := make([]bool, len(t.names))
	for c := range t.names {
		for _, r := range t.rows {
			if c < len(r) && r[c] != "" {
				used[c] = true
				width[c] = max(width[c], utf8.RuneCountInString(r[c]))
			}
		}
		if used[c] {
			width[c] = max(width[c], utf8.RuneCountInString(t.names[c]), utf8.RuneCountInString(t.units[c]))
		}
	}
	for i, part := range parts(width, used, limit-len(indent)) {
		if i > 0 {
			b.WriteString("\n")
		}
		t.part(b, indent, width, part)
	}
}

// parts cuts the used columns into tables no wider than limit, each with the first column.
func parts(width []int, used []bool, limit int) (out [][]int) {
	const gap = 2
	total := 0
	for c := range width {
		if !used[c] {
			continue
		}
		w := width[c] + gap
		if len(out) == 0 {
			out = append(out, nil)
		}
		last := &out[len(out)-1]
		if limit > 0 && len(*last) > 1 && total+w-gap > limit {
			first := (*last)[0]
			out = append(out, []int{first})
			last = &out[len(out)-1]
			total = width[first] + gap
		}
		*last = append(*last, c)
		total += w
	}
	return out
}

// part prints some columns.
func (t *table) part(b *strings.Builder, indent string, width []int, columns []int) {
	line := func(cells []string) {
		var l strings.Builder
		for _, c := range columns {
			cell := ""
			if c < len(cells) {
				cell = cells[c]
			}
			pad := strings.Repeat(" ", width[c]-utf8.RuneCountInString(cell))
			if t.left[c] {
				l.WriteString(cell + pad + "  ")
			} else {
				l.WriteString(pad + cell + "  ")
			}
		}
		b.WriteString(strings.TrimRight(indent+l.String(), " ") + "\n")
	}
	line(t.names)
	for _, c := range columns {
		if t.units[c] != "" {
			line(t.units)
			break
		}
	}
	for _, r := range t.rows {
		line(r)
	}
}
