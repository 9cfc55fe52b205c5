// Package columns writes the decoded columns of a log as Parquet or CSV, for
// other programs to read.
//
// In Parquet a channel whose every sample is a decimal of few digits (which is
// how recorders print) is stored as DECIMAL over integers with delta encoding:
// a third of the size of doubles and several times quicker, and exact, since
// the scale is only used when it gives back every sample bit for bit. Others
// are doubles. Blank cells are nulls. docs/store.md shows the layout.
package columns

import (
	"math"
	"slices"
	"strconv"
)

// Column is one channel.
type Column struct {
	Name     string
	Unit     string // "" when not known
	Quantity string // what it was taken for; "" when not recognised
	// Values are in Unit; NaN is a blank cell.
	Values []float64
	// Times is nil for a column that has a value for each row of the table;
	// else when each value was taken, s, in order.
	Times []float64
}

// Table is a log's columns.
type Table struct {
	// Time is when each row was taken, s.
	Time    []float64
	Columns []Column
	// Meta goes into the file's metadata, where the format has a place for it.
	Meta map[string]string
}

// timeName is the first column's heading.
const timeName = "time [s]"

// OneClock brings columns with times of their own onto common rows: every time
// at which anything was taken is a row, and a cell is blank where its column
// has no value. A table without such columns comes back as it is.
func (t Table) OneClock() Table {
	if !slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Times != nil }) {
		return t
	}
	all := slices.Clone(t.Time)
	for _, c := range t.Columns {
		all = append(all, c.Times...)
	}
	slices.Sort(all)
	// Equal times fold into one row, except that a column may have several
	// values at one time: each needs a row.
	out := Table{Meta: t.Meta, Time: rowsFor(all, t)}
	for _, c := range t.Columns {
		times := c.Times
		if times == nil {
			times = t.Time
		}
		c.Values, c.Times = spread(out.Time, times, c.Values), nil
		out.Columns = append(out.Columns, c)
	}
	return out
}

// rowsFor gives each time as often as the column that has it most often.
func rowsFor(all []float64, t Table) []float64 {
	most := map[float64]int{}
	count := func(times []float64) {
		for i := 0; i < len(times); {
			j := i
			for j < len(times) && times[j] == times[i] {
				j++
			}
			most[times[i]] = max(most[times[i]], j-i)
			i = j
		}
	}
	count(t.Time)
	for _, c := range t.Columns {
		count(c.Times)
	}
	var out []float64
	for _, x := range slices.Compact(all) {
		for range most[x] {
			out = append(out, x)
		}
	}
	return out
}

// spread puts values taken at times into rows.
func spread(rows, times, values []float64) []float64 {
	out := make([]float64, len(rows))
	k := 0
	for i, x := range rows {
		out[i] = math.NaN()
		if k < len(times) && k < len(values) && times[k] == x {
			out[i] = values[k]
			k++
		}
	}
	return out
}

// heading is a column's name with its unit, made different from the ones
// before.
func heading(c Column, number int, taken map[string]bool) string {
	name := c.Name
	if name == "" {
		name = "column " + strconv.Itoa(number+1)
	}
	if c.Unit != "" {
		name += " [" + c.Unit + "]"
	}
	base := name
	for n := 2; taken[name]; n++ {
		name = base + " (" + strconv.Itoa(n) + ")"
	}
	taken[name] = true
	return name
}

func (t Table) headings() []string {
	taken := map[string]bool{timeName: true}
	out := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		out[i] = heading(c, i, taken)
	}
	return out
}
