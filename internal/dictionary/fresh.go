package dictionary

import (
	"math"
	"slices"
)

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

// rates that instruments usually have, Hz.
var usualRates = []float64{0.5, 1, 2, 2.5, 4, 5, 8, 10, 12.5, 15, 16, 18, 20, 25, 30, 100.0 / 3, 40, 50, 60, 62.5, 200.0 / 3, 75, 80, 100, 120, 125, 150, 200, 250, 300, 400, 500, 1000}

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
	cells, changes, rows                   []int
	gaps, own, wrapped, after, adjacent, d []float64
	pos                                    [][]float64
}

// roomFor gives an empty slice with room for n.
func roomFor[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, 0, n)
	}
	return s[:0]
}

// readings finds the true readings of a column. t are the rows' times, s; step
// is the usual time between rows, 0 when rows are uneven; keepAll is for
// switches and standstill, whose repeats are readings too.
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
		f.rateHz = s.rateOf(cells, t)
		if step > 0 {
			if p := 1 / (f.rateHz * step); p > 1.05 && !wholeNumbered(p) {
				if g, ok := s.fitPhase(cells, t, step, parts, p); ok {
					f.own = s.instants(g, cells, t, step, parts)
				}
			}
		}
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
		// Refreshed now and then, with no rhythm: only changes are known to be
		// readings, and standstill.
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
	default:
		f.held = false
		f.rateHz = rowRate
	}
	return f
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

// rateOf is the usual rate of rows, Hz, from their times: the mean over steps
// that are no gaps.
func (s *scratch) rateOf(rows []int, t []float64) float64 {
	if len(rows) < 2 {
		return 0
	}
	s.d = roomFor(s.d, len(rows)-1)
	d := s.d
	for k := 1; k < len(rows); k++ {
		d = append(d, t[rows[k]]-t[rows[k-1]])
	}
	few := thin(d)
	slices.Sort(few)
	// Gaps are steps far beyond what is usual.
	most := 4 * few[len(few)*9/10]
	sum, n := 0.0, 0
	for _, x := range d {
		if x < most {
			sum += x
			n++
		}
	}
	if sum <= 0 {
		return 0
	}
	return tidyRate(float64(n) / sum)
}

// tidyRate takes the last digits' noise off a rate, Hz.
func tidyRate(r float64) float64 {
	for _, u := range usualRates {
		if math.Abs(r/u-1) < 2e-3 {
			return u
		}
	}
	return r
}

// A grid is a rhythm of refreshes: one period, and a phase for each part of the
// log, since recordings begin anew.
type grid struct {
	period float64 // rows
	phase  []float64
}

// refreshGrid finds the period, in rows, on whose grid all changes fall; ok is
// false when the changes have no rhythm or are too few to tell. parts are the
// rows at which recordings begin.
func (s *scratch) refreshGrid(changes []int, t []float64, step float64, parts []int, rowRate float64) (g grid, ok bool) {
	n := len(changes)
	if n < 4 {
		return grid{}, false
	}
	s.positions(len(parts), n)
	pos := s.pos
	s.gaps = roomFor(s.gaps, n)
	gaps := s.gaps
	for _, c := range changes {
		p := partOf(c, parts)
		x := position(c, t, step)
		if k := len(pos[p]); k > 0 {
			gaps = append(gaps, x-pos[p][k-1])
		}
		pos[p] = append(pos[p], x)
	}
	if len(gaps) < 3 {
		return grid{}, false
	}
	// The period cannot exceed the shortest distance between changes, strays
	// apart, by more than the window's width.
	slices.Sort(gaps)
	longest := gaps[min(len(gaps)-1, int(strays*float64(len(gaps)))+1)] + 1.5
	for _, p := range candidates(longest, rowRate) {
		if !s.promising(pos, p) {
			continue
		}
		inside, free := 0, 0
		phase := make([]float64, len(parts))
		for k := range pos {
			if len(pos[k]) == 0 {
				continue
			}
			in, start := s.fullestWindow(pos[k], p)
			inside += in
			free += in - 1
			phase[k] = start
		}
		if float64(n-inside) > strays*float64(n) {
			continue
		}
		// That many points in windows of one row out of p by chance.
		if math.Log(float64(n))-float64(free)*math.Log(p) > math.Log(chance) {
			continue
		}
		g = grid{p, phase}
	}
	if g.period > 0 {
		return g, true
	}
	if gaps[len(gaps)/4] <= 1.5 {
		return grid{1, make([]float64, len(parts))}, true
	}
	return grid{}, false
}

// positions empties the lists of positions by part, of which the first gets room
// for n.
func (s *scratch) positions(parts, n int) {
	for len(s.pos) < parts {
		s.pos = append(s.pos, nil)
	}
	s.pos = s.pos[:parts]
	for k := range s.pos {
		s.pos[k] = s.pos[k][:0]
	}
	s.pos[0] = roomFor(s.pos[0], n)
}

// catchesUp says whether a column that changes in adjacent rows is held all the
// same, in runs without rhythm: then the step after a run of repeats makes up for
// the time that was held, while a slow quantity that was printed in steps moves
// by one step of the print. Repeats at the ends of the range do not count.
func (s *scratch) catchesUp(v []float64, cells []int, print float64) bool {
	low, high := v[cells[0]], v[cells[0]]
	for _, c := range cells {
		if x := v[c]; x < low {
			low = x
		} else if x > high {
			high = x
		}
	}
	repeats, moving := 0, 0
	for k := 1; k < len(cells); k++ {
		if a := v[cells[k-1]]; a != low && a != high {
			moving++
			if a == v[cells[k]] {
				repeats++
			}
		}
	}
	if moving < 50 || 10*repeats < 4*moving {
		return false
	}
	s.after, s.adjacent = roomFor(s.after, len(cells)), roomFor(s.adjacent, len(cells))
	after, adjacent := s.after, s.adjacent
	run := 0
	for k := 1; k < len(cells); k++ {
		a, b := v[cells[k-1]], v[cells[k]]
		if a == low || a == high {
			run = 0
			continue
		}
		switch {
		case a == b:
			run++
			continue
		case run >= 2:
			after = append(after, math.Abs(b-a))
		case run == 0:
			adjacent = append(adjacent, math.Abs(b-a))
		}
		run = 0
	}
	if len(after) < 10 {
		return false
	}
	slices.Sort(after)
	big := after[len(after)/2]
	if big < 2.5*print {
		return false
	}
	if len(adjacent) > 10 {
		slices.Sort(adjacent)
		return big > 0.8*adjacent[len(adjacent)/2]
	}
	return true
}

// onePrintStep says whether nearly all changes are by the least step of the
// print: then the repeats between them are readings of a slow quantity, not held
// values.
func onePrintStep(v []float64, changes []int, step float64) bool {
	if step <= 0 {
		return false
	}
	small, all := 0, 0
	for _, c := range changes {
		p := c - 1
		for p >= 0 && v[p] != v[p] {
			p--
		}
		if p < 0 {
			continue
		}
		all++
		if math.Abs(v[c]-v[p]) < 1.5*step {
			small++
		}
	}
	return 10*small >= 8*all
}

// promising looks at the first changes only, to drop most periods cheaply.
func (s *scratch) promising(pos [][]float64, period float64) bool {
	const first = 48
	for _, p := range pos {
		if len(p) < first {
			continue
		}
		in, _ := s.fullestWindow(p[:first], period)
		if in < first*8/10 {
			return false
		}
	}
	return true
}

// partOf is the part in which a row lies.
func partOf(row int, parts []int) int {
	k := 0
	for k+1 < len(parts) && parts[k+1] <= row {
		k++
	}
	return k
}

// position is a row's place in units of the usual row step.
func position(row int, t []float64, step float64) float64 {
	if step > 0 {
		return math.Round((t[row] - t[0]) / step)
	}
	return float64(row)
}

// candidates lists periods in rows up to longest: whole ones, and those of usual
// rates.
func candidates(longest, rowRate float64) []float64 {
	var out []float64
	for p := 2.0; p <= longest && p <= 600; p++ {
		out = append(out, p)
	}
	if rowRate > 0 {
		for _, r := range usualRates {
			if p := rowRate / r; p > 1.05 && p <= longest {
				out = append(out, p)
			}
		}
	}
	slices.Sort(out)
	return out
}

// fullestWindow finds the window of one row, in the circle of one period, that
// holds most positions; start is its beginning.
func (s *scratch) fullestWindow(pos []float64, period float64) (inside int, start float64) {
	n := len(pos)
	if wholeNumbered(period) {
		// Rows are whole numbers, so the window holds one of the residues.
		p := int(math.Round(period))
		count := make([]int, p)
		best := 0
		for _, x := range pos {
			r := int(x) % p
			if r < 0 {
				r += p
			}
			count[r]++
			if count[r] > count[best] {
				best = r
			}
		}
		return count[best], float64(best) - 0.5
	}
	s.wrapped = roomFor(s.wrapped, n)
	r := s.wrapped[:n]
	for k, p := range pos {
		r[k] = p - period*math.Floor(p/period)
	}
	slices.Sort(r)
	const width = 1 - 1e-6
	j := 0
	for i := range r {
		if j < i {
			j = i
		}
		for j < i+n {
			x := r[j%n]
			if j >= n {
				x += period
			}
			if x-r[i] > width {
				break
			}
			j++
		}
		if j-i > inside {
			inside, start = j-i, r[i]
			if last := r[(j-1)%n]; j-1 >= n {
				start = (start + last + period - 1) / 2
			} else {
				start = (start + last - 1) / 2
			}
		}
	}
	return inside, start
}

// onGrid picks the rows that follow the instants of refresh.
func (s *scratch) onGrid(cells []int, t []float64, step float64, parts []int, g grid) []int {
	s.rows = roomFor(s.rows, int(float64(len(cells))/g.period)+2)
	out := s.rows
	part, last := -1, 0.0
	for _, c := range cells {
		p := partOf(c, parts)
		x := (position(c, t, step) - g.phase[p]) / g.period
		k := math.Floor(x)
		if p != part {
			// What the first row holds may be older than the row.
			part, last = p, k
			if (x-k)*g.period < 1 {
				last--
			}
		}
		if k > last {
			out = append(out, c)
			last = k
		}
	}
	return out
}
