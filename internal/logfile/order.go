package logfile

import (
	"cmp"
	"math"
	"slices"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// putInOrder brings rows that a file holds in another order than that of time into
// it, and drops lines of equal numbers (extremes, rates) above the first row. It acts
// only where the stamps leave no doubt: a clock that was set back, or two recordings
// in one file, look different and stay as they are.
func putInOrder(t *table.Table) {
	i := calledTime(t)
	if i < 0 || t.Rows < 20 || len(t.Parts) > 1 {
		return
	}
	dropEqual(t)
	v := t.Columns[i].Values
	g := gaitOf(&t.Columns[i])
	if g.down == 0 || g.blank > 0 {
		return
	}
	if g.up == 0 || g.down > 50*g.up {
		reverse := make([]int, t.Rows)
		for k := range reverse {
			reverse[k] = t.Rows - 1 - k
		}
		rearrange(t, reverse, "the rows run backwards in time; they are read from the last to the first")
		return
	}
	order := make([]int, t.Rows)
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	if !apart(v, order) {
		return
	}
	switch {
	case g.down == 1:
		// A memory that is written round and round: its last row is followed by its first.
		step := (v[order[len(v)-1]] - v[order[0]]) / float64(len(v)-1)
		if gap := v[0] - v[len(v)-1]; gap > 0.5*step && gap < 1.5*step {
			rearrange(t, order, "the rows begin in the middle and go on at the front, as in a memory written round and round; they are put in order of time")
		}
	case 10*g.down > g.up || nearby(order):
		rearrange(t, order, "the rows are not in order of time; they are put in it")
	}
}

// calledTime is the first column that is called a time or measured in one and holds
// numbers, -1 without one.
func calledTime(t *table.Table) int {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Kind == table.Words || c.Kind == table.Date || c.Times != nil || len(c.Values) != t.Rows || countsRows(c.Values) {
			continue
		}
		u, ok := quantity.ParseUnit(c.Unit)
		isTime := ok && u.Dim == quantity.DimTime
		if t.Clock == i || isTime && nameScore(c.Name) > 0 || nameScore(c.Name) >= 0.7 && c.Unit == "" || c.Kind != table.Numbers {
			return i
		}
	}
	return -1
}

// apart says whether the stamps in order stand at least half a usual step from one
// another, and none of them far.
func apart(v []float64, order []int) bool {
	step := (v[order[len(order)-1]] - v[order[0]]) / float64(len(order)-1)
	for k := 1; k < len(order); k++ {
		if d := v[order[k]] - v[order[k-1]]; !(d > 0.5*step) || d > 50*step {
			return false
		}
	}
	return step > 0
}

// nearby says whether no row stands further than some tens of rows from its place.
func nearby(order []int) bool {
	for k, r := range order {
		if r-k > 50 || k-r > 50 {
			return false
		}
	}
	return true
}

// dropEqual drops up to five rows at the front in which every cell holds the same
// number, the clock's among them: lines of extremes or rates, no readings.
func dropEqual(t *table.Table) {
	n := 0
	for n < 5 && n < t.Rows && equalRow(t, n) {
		n++
	}
	if n == 0 {
		return
	}
	keep := make([]int, t.Rows-n)
	for k := range keep {
		keep[k] = k + n
	}
	rearrange(t, keep, "the first lines of numbers hold the same in every column (extremes, rates): they are no readings and are left out")
}

func equalRow(t *table.Table, row int) bool {
	first, n := math.NaN(), 0
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Kind != table.Numbers || len(c.Values) != t.Rows || c.Times != nil {
			return false
		}
		x := c.Values[row]
		if n++; n == 1 {
			first = x
		}
		if x != first {
			return false
		}
	}
	return n >= 6
}

// rearrange keeps the rows named, in that order, and tells why.
func rearrange(t *table.Table, rows []int, why string) {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Times != nil {
			continue
		}
		c.Values = pickRows(c.Values, rows)
		c.Text = pickRows(c.Text, rows)
	}
	t.Rows = len(rows)
	t.Notes = append(t.Notes, why)
}

func pickRows[T any](x []T, rows []int) []T {
	if x == nil {
		return nil
	}
	out := make([]T, 0, len(rows))
	for _, r := range rows {
		if r < len(x) {
			out = append(out, x[r])
		}
	}
	return out
}
