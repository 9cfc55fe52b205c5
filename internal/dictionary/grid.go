package dictionary

import (
	"math"
	"slices"

	"traplight/internal/num/stats"
)

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
	gaps, place := s.gaps, s.rowsOf(t, step).place
	for _, c := range changes {
		p := partOf(c, parts)
		x := place[c]
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
	longest := stats.Select(gaps, min(len(gaps)-1, int(strays*float64(len(gaps)))+1)) + 1.5
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
	if stats.Select(gaps, len(gaps)/4) <= 1.5 {
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
	out, place := s.rows, s.rowsOf(t, step).place
	part, last := -1, 0.0
	for _, c := range cells {
		p := partOf(c, parts)
		x := (place[c] - g.phase[p]) / g.period
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
