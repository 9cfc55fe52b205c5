package dictionary

import "math"

// The true rate of a channel. Loggers write a row oftener than a channel is
// read: they leave the cell blank, or repeat the last value. Repeats are not
// readings. For a blank-filled column the readings are the cells that are not
// blank. For a held one the refreshes are found from the rows in which the value
// changes: with a period of P rows all changes fall on rows that follow an
// instant φ + kP by less than one row. The longest period whose window of one row
// holds all changes, against odds of one in a thousand that chance would do the
// same, is the refresh period; then every refresh counts, changed or not.

const (
	// chance is how likely a period may be a product of chance.
	chance = 1e-3
	// strays is the share of changes that may lie off the grid.
	strays = 0.015
	// blankFill is the share of blank cells from which a column is blank-filled.
	blankFill = 0.02
)

// freshness is which rows of a column are true readings.
type freshness struct {
	rows   []int   // of the readings
	rateHz float64 // 0 unknown
	held   bool
	known  bool // the grid of refreshes is known
	stale  int  // rows that only repeat
	// irregular: refreshed now and then with no rhythm.
	irregular bool
	// own holds, for channels whose period is no whole number of rows, the
	// instants of the grid, s, one for each of rows; see instants.go.
	own []float64
}

// scratch is room that is used again from column to column. What readings hands
// out lies in it and holds until the next call.
type scratch struct {
	cells, changes, rows, kinks            []int
	gaps, own, wrapped, after, adjacent, d []float64
	pos                                    [][]float64
	last                                   rows
}

// rows is what the columns that share their rows' times need of them.
type rows struct {
	t     []float64 // s
	step  float64   // s, usual; 0 when rows are uneven
	place []float64 // of each row, in units of the usual step; its number when rows are uneven
	rise  bool      // each row is later than the one before
}

// rowsOf works out rows of the times t, s, and the usual step, s; most columns have those of
// the column before.
func (s *scratch) rowsOf(t []float64, step float64) *rows {
	r := &s.last
	if len(r.t) == len(t) && r.step == step && (len(t) == 0 || &r.t[0] == &t[0]) {
		return r
	}
	*r = rows{t: t, step: step, place: make([]float64, len(t)), rise: true}
	for i, x := range t {
		r.place[i] = float64(i)
		if step > 0 {
			r.place[i] = math.Round((x - t[0]) / step)
		}
		r.rise = r.rise && (i == 0 || x > t[i-1])
	}
	return r
}

// roomFor gives an empty slice with room for n.
func roomFor[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, 0, n)
	}
	return s[:0]
}

// readings finds the true readings of a column. t are the rows' times, s; step
// is the usual time between rows, s, 0 when rows are uneven; parts are the rows at
// which the rhythm may begin anew; keep says which repeats are readings without a
// rhythm; print is the least step of the column's print, in its unit.
func (s *scratch) readings(v, t []float64, step float64, parts []int, keep repeats, print float64) freshness {
	if len(parts) == 0 {
		parts = []int{0}
	}
	s.cells = roomFor(s.cells, len(v))
	cells := s.cells
	for i, x := range v {
		if x == x && !math.IsInf(x, 0) {
			cells = append(cells, i)
		}
	}
	f := freshness{rows: cells}
	if len(cells) < 2 {
		return f
	}
	span := cells[len(cells)-1] - cells[0] + 1
	blanks := 1 - float64(len(cells))/float64(span)
	if blanks > blankFill && interleaved(cells) {
		s.blankFilled(&f, t, step, parts)
		return f
	}
	// Held. Look at the rows that change.
	s.changes = roomFor(s.changes, len(cells))
	changes := s.changes
	for k := 1; k < len(cells); k++ {
		if v[cells[k]] != v[cells[k-1]] {
			changes = append(changes, cells[k])
		}
	}
	f.held = true
	rowRate := s.rateOf(cells, t)
	if step > 0 {
		if rows, period, ok := s.knots(v, cells); ok {
			f.known, f.rows, f.rateHz = true, rows, tidyRate(rowRate/float64(period))
			f.stale = len(cells) - len(rows)
			return f
		}
	}
	g, ok := s.refreshGrid(changes, t, step, parts, rowRate)
	switch {
	case ok && g.period > 1.001:
		f.known = true
		f.rows = s.onGrid(cells, t, step, parts, g)
		f.rateHz = tidyRate(rowRate / g.period)
		if step > 0 && !wholeNumbered(g.period) {
			f.own = s.instants(g, f.rows, t, step, parts)
		}
		f.stale = len(cells) - len(f.rows)
	case ok && !s.catchesUp(v, cells, print):
		f.known = true
		f.held = false
		f.rateHz = rowRate
	case len(changes) < 8 || keep == keepAll || onePrintStep(v, changes, print):
		f.rateHz = 0
	case float64(len(changes)) < 0.6*float64(len(cells)):
		s.withoutRhythm(&f, v, t, cells, changes, keep)
	default:
		f.held = false
		f.rateHz = rowRate
	}
	return f
}

// blankFilled settles a column whose readings are the cells that are not blank.
func (s *scratch) blankFilled(f *freshness, t []float64, step float64, parts []int) {
	f.rateHz = s.rateOf(f.rows, t)
	if step <= 0 {
		return
	}
	if p := 1 / (f.rateHz * step); p > 1.05 && !wholeNumbered(p) {
		if g, ok := s.fitPhase(f.rows, t, step, parts, p); ok {
			f.own = s.instants(g, f.rows, t, step, parts)
		}
	}
}

// withoutRhythm settles a held column that is refreshed now and then: only
// changes are known to be readings, and standstill.
func (s *scratch) withoutRhythm(f *freshness, v, t []float64, cells, changes []int, keep repeats) {
	s.rows = roomFor(s.rows, len(cells))
	rows := append(s.rows, cells[0])
	k := 0
	for _, c := range cells[1:] {
		changed := k < len(changes) && changes[k] == c
		if changed {
			k++
		}
		if changed || keep == keepZero && v[c] == 0 {
			rows = append(rows, c)
		}
	}
	f.rows = rows
	f.rateHz = s.rateOf(append([]int{cells[0]}, changes...), t)
	f.stale = len(cells) - len(f.rows)
	f.irregular = true
}

// repeats says which repeated values are readings when no rhythm shows.
type repeats int

const (
	keepNone repeats = iota
	keepZero         // standstill
	keepAll          // switches, gears
)

// interleaved says whether blanks lie between readings all the way, rather than
// in a few holes.
func interleaved(cells []int) bool {
	holes := 0
	for k := 1; k < len(cells); k++ {
		if cells[k] > cells[k-1]+1 {
			holes++
		}
	}
	return holes > 3 && float64(holes) > 0.02*float64(len(cells))
}
