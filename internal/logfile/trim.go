package logfile

import (
	"fmt"
	"strings"

	"traplight/internal/logfile/table"
)

// mostTimeless is how many rows without a time, at either end, are taken for
// something else than samples.
const mostTimeless = 20

// trimTimeless takes off rows at either end whose time is no time: lines of
// extremes, means or units that some programs put there.
func trimTimeless(t *table.Table, cc *clockColumn) {
	n := len(cc.t)
	from, to := 0, n
	for from < n && cc.t[from] != cc.t[from] {
		from++
	}
	for to > from && cc.t[to-1] != cc.t[to-1] {
		to--
	}
	if from > mostTimeless {
		from = 0
	}
	if n-to > mostTimeless {
		to = n
	}
	if from == 0 && to == n {
		return
	}
	var lines []string
	for i := range n {
		if (i < from || i >= to) && len(lines) < 3 && t.Line(i) > 0 {
			lines = append(lines, fmt.Sprint(t.Line(i)))
		}
	}
	note := fmt.Sprintf("%d rows at the end", n-to)
	switch {
	case n-to == 0:
		note = fmt.Sprintf("%d rows at the beginning", from)
	case from > 0:
		note = fmt.Sprintf("%d rows at beginning and end", from+n-to)
	}
	note += " have no time and were dropped"
	if len(lines) > 0 {
		note += ", in line " + strings.Join(lines, ", ")
	}
	cc.notes = append(cc.notes, note)
	cc.t = cc.t[from:to]
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Times != nil {
			continue
		}
		if len(c.Values) == n {
			c.Values = c.Values[from:to]
		}
		if len(c.Text) == n {
			c.Text = c.Text[from:to]
		}
	}
	var parts []table.Part
	for k, p := range t.Parts {
		end := n
		if k+1 < len(t.Parts) {
			end = t.Parts[k+1].Row
		}
		if end <= from || p.Row >= to {
			continue
		}
		if p.Row < from {
			if p.Line > 0 {
				p.Line += from - p.Row
			}
			p.Row = from
		}
		p.Row -= from
		parts = append(parts, p)
	}
	t.Parts, t.Rows = parts, to-from
}
