package logfile

import (
	"fmt"
	"math"
	"regexp"
	"slices"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// callsChannels are names of the column that tells which channel a line's reading is of.
var callsChannels = regexp.MustCompile(`(?i)^\s*(channel|chan|signal|sensor|parameter|param|variable|tag|quantity|measurement|item|key|name|kanal|messgr[öo](ß|ss)e|kanalname|voie|signal_name|canal|canale|grandezza|señal|sinal)\b`)

const (
	leastStacked = 3   // channels from which a list of readings is one
	mostStacked  = 500 // channels
	eachReads    = 5   // readings of a channel, in the mean
	mostCells    = 40e6
)

// unstack turns a list of one reading a line (time, channel, value, perhaps a unit) into a
// table of a column a channel. Any other table comes back as it is.
func unstack(t *table.Table) *table.Table {
	if len(t.Columns) < 3 || len(t.Columns) > 6 || len(t.Parts) > 1 {
		return t
	}
	name, value, unit := -1, -1, -1
	for i := range t.Columns {
		c := &t.Columns[i]
		switch {
		case c.Times != nil:
			return t
		case c.Kind == table.Words && name < 0 && callsChannels.MatchString(c.Name) && len(c.Text) == t.Rows:
			name = i
		case c.Kind == table.Words && len(c.Text) == t.Rows:
			unit = i
		}
	}
	if name < 0 {
		return t
	}
	order, rows := channelsOf(t.Columns[name].Text)
	if n := len(order); n < leastStacked || n > mostStacked || t.Rows < n*eachReads {
		return t
	}
	cc, _ := chooseClock(t)
	if cc == nil {
		return t
	}
	for i := range t.Columns {
		if c := &t.Columns[i]; i != cc.index && i != cc.other && c.Kind == table.Numbers && !countsRows(c.Values) {
			if value >= 0 {
				return t // more than one number a line: a table with a column of words
			}
			value = i
		}
	}
	if value < 0 {
		return t
	}
	// Rows are the stamps, in their order.
	stamps := slices.Clone(t.Columns[cc.index].Values)
	slices.Sort(stamps)
	stamps = slices.Compact(stamps)
	for len(stamps) > 0 && math.IsNaN(stamps[0]) {
		stamps = stamps[1:]
	}
	if float64(len(stamps))*float64(len(order)) > mostCells || len(stamps) < 2 {
		return t
	}
	clock := t.Columns[cc.index]
	clock.Values = stamps
	out := &table.Table{Format: t.Format, Meta: t.Meta, Rows: len(stamps), Parts: []table.Part{{}}, Clock: -1, Exact: t.Exact, Columns: []table.Column{clock}}
	out.Notes = append(slices.Clone(t.Notes), fmt.Sprintf("each line holds one reading; they are put together by their time for %s", quantity.Count(len(order), "channel", "channels")))
	for _, ch := range order {
		c := table.Column{Name: ch, Values: make([]float64, len(stamps))}
		for i := range c.Values {
			c.Values[i] = math.NaN()
		}
		for _, r := range rows[ch] {
			if unit >= 0 && c.Unit == "" {
				c.Unit = t.Columns[unit].Text[r]
			}
			if k, ok := slices.BinarySearch(stamps, t.Columns[cc.index].Values[r]); ok {
				c.Values[k] = t.Columns[value].Values[r]
			}
		}
		out.Columns = append(out.Columns, c)
	}
	return out
}

// channelsOf lists the words of a column in their order, and the rows of each.
func channelsOf(text []string) (order []string, rows map[string][]int) {
	rows = map[string][]int{}
	for r, w := range text {
		if w == "" {
			continue
		}
		if rows[w] == nil {
			if order = append(order, w); len(order) > mostStacked {
				return order, rows
			}
		}
		rows[w] = append(rows[w], r)
	}
	return order, rows
}
