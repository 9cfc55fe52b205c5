package logfile

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"traplight/internal/logfile/table"
)

const (
	// leastFilled is the share of rows from which a number can be what stands where
	// nothing new was read.
	leastFilled = 0.45
	// alone is the share of the other readings that must have it on both sides.
	alone = 0.95
	// nearEnough is how far, of the way to the fill, one reading lies from the one before.
	nearEnough = 0.25
	// onGrid is the share of the other readings that must fall on one row in so many.
	onGrid = 0.995
	// widestGrid is the longest period looked for, rows.
	widestGrid = 500
)

// dropFills blanks a number that a recorder writes where it has nothing new: 0, -1, -99.
// Readings then stand alone in it, and lie much nearer to the readings before and behind
// than to it. It must be seen in two columns. Where the readings come in a rhythm, the
// same number in that rhythm is a reading and stays.
func dropFills(t *table.Table, clock, other int) {
	columns := map[float64][]int{}
	for i := range t.Columns {
		c := &t.Columns[i]
		if i == clock || i == other || c.Kind != table.Numbers {
			continue
		}
		if x, ok := fillOf(c.Values); ok {
			columns[x] = append(columns[x], i)
		}
	}
	for _, x := range slices.Sorted(maps.Keys(columns)) {
		where := columns[x]
		if len(where) < 2 {
			continue
		}
		// Columns of the same rhythm whose readings vary less belong with these.
		for i := range t.Columns {
			if c := &t.Columns[i]; i != clock && i != other && c.Kind == table.Numbers && !slices.Contains(where, i) && sharesRhythm(t, i, where, x) {
				where = append(where, i)
			}
		}
		for _, i := range where {
			blankFill(t.Columns[i].Values, x)
		}
		t.Notes = append(t.Notes, fmt.Sprintf("%s stands where nothing new was read in %d columns, %q first", strconv.FormatFloat(x, 'g', -1, 64), len(where), t.Columns[where[0]].Name))
	}
}

// fillOf is the number that fills a column between its readings.
func fillOf(v []float64) (float64, bool) {
	x, n := commonest(v)
	if len(v) < 100 || float64(n) < leastFilled*float64(len(v)) {
		return 0, false
	}
	readings, lone := 0, 0
	var steps, far []float64
	last := math.NaN()
	for i, y := range v {
		if y == x || y != y {
			continue
		}
		readings++
		if (i == 0 || v[i-1] == x) && (i+1 == len(v) || v[i+1] == x) {
			lone++
		}
		if last == last {
			steps = append(steps, math.Abs(y-last))
		}
		far = append(far, math.Abs(y-x))
		last = y
	}
	if readings < 20 || float64(lone) < alone*float64(readings) {
		return 0, false
	}
	return x, median(steps) < nearEnough*median(far)
}

// commonest is a number that most of a column may hold, found by voting (Boyer and Moore),
// with how often it stands there.
func commonest(v []float64) (x float64, times int) {
	votes := 0
	for i := 0; i < len(v); i++ {
		switch {
		case votes == 0:
			x, votes = v[i], 1
		case v[i] == x:
			votes++
		default:
			votes--
		}
	}
	// Where readings take every second row the vote is a draw: try the neighbour too.
	count := func(x float64) (n int) {
		for _, y := range v {
			if y == x {
				n++
			}
		}
		return n
	}
	times = count(x)
	for i := len(v) / 2; i < len(v) && i < len(v)/2+3; i++ {
		if n := count(v[i]); n > times {
			x, times = v[i], n
		}
	}
	return x, times
}

// rhythm is the longest period, in rows, and its phase on which all readings other than
// x fall; 0 when there is none.
func rhythm(v []float64, x float64) (period, phase int) {
	var at []int
	for i, y := range v {
		if y != x && y == y {
			at = append(at, i)
		}
	}
	if len(at) < 10 {
		return 0, 0
	}
	for p := min(widestGrid, len(v)/4); p > 1; p-- {
		phase, on := at[len(at)/2]%p, 0
		for _, i := range at {
			if i%p == phase {
				on++
			}
		}
		if float64(on) >= onGrid*float64(len(at)) {
			return p, phase
		}
	}
	return 0, 0
}

// blankFill takes a fill out of a column.
func blankFill(v []float64, x float64) {
	period, phase := rhythm(v, x)
	for i, y := range v {
		if y == x && (period == 0 || i%period != phase) {
			v[i] = math.NaN()
		}
	}
}

// sharesRhythm says whether a column that is mostly x has its other readings in the rhythm
// of one that is filled with it.
func sharesRhythm(t *table.Table, i int, filled []int, x float64) bool {
	v := t.Columns[i].Values
	n := 0
	for _, y := range v {
		if y == x {
			n++
		}
	}
	if float64(n) < leastFilled*float64(len(v)) || n == len(v) {
		return false
	}
	for _, k := range filled {
		w := t.Columns[k].Values
		p, phase := rhythm(w, x)
		if p == 0 {
			continue
		}
		on, all := 0, 0
		for r, y := range v {
			if y != x && y == y {
				all++
				if r%p == phase {
					on++
				}
			}
		}
		if all >= 10 && float64(on) >= onGrid*float64(all) {
			return true
		}
	}
	return false
}
