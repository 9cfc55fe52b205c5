package dictionary

import (
	"math"
	"slices"
)

// Some exports draw straight lines between readings so that every row has a number.
// What lies between is no reading: taken as one, a receiver's ten readings a second
// become a hundred with noise that hangs together, and torque comes out some per cent
// off. The readings are where the lines have their kinks.

const (
	mostKinks  = 0.55 // share of rows with a kink from which a column is taken as it is
	leastKinks = 20
	longestRun = 200 // rows between readings
)

// knots finds the rows of the readings in a column drawn by straight lines, and how many
// rows apart they are; ok is false where the kinks have no such rhythm. A bend
// counts beyond what the print explains; seven digits, as of single precision, count as print too. The period is the longest whole number of rows on
// which all kinks but strays fall.
func (s *scratch) knots(v []float64, cells []int) (rows []int, period int, ok bool) {
	n := len(cells)
	if n < 100 || cells[n-1]-cells[0] != n-1 {
		return nil, 0, false
	}
	s.kinks = s.kinks[:0]
	beside := 0
	print := finestPrint(v[cells[0] : cells[n-1]+1])
	for i := cells[0] + 1; i < cells[n-1]; i++ {
		bend := v[i-1] - 2*v[i] + v[i+1]
		if math.Abs(bend) > 2.05*print+2.5e-7*math.Abs(v[i]) {
			if m := len(s.kinks); m > 0 && s.kinks[m-1] == i-1 {
				beside++ // a step of a held value, or noise in every row
			}
			s.kinks = append(s.kinks, i)
			if beside > leastKinks && float64(beside) > 2*strays*float64(len(s.kinks)) || float64(len(s.kinks)) > mostKinks*float64(n) {
				return nil, 0, false
			}
		}
	}
	k := len(s.kinks)
	if k < leastKinks {
		return nil, 0, false
	}
	residue := 0
	var count [longestRun + 1]int
	for p := max(2, n/(2*k)); p <= longestRun; p++ {
		if first := s.kinks[:min(k, 48)]; 10*fullest(first, p, &count) < 8*len(first) {
			continue
		}
		if best := fullest(s.kinks, p, &count); float64(k-best) <= strays*float64(k) {
			period, residue = p, slices.Index(count[:p], best)
		}
	}
	if period == 0 {
		return nil, 0, false
	}
	s.rows = roomFor(s.rows, n/period+2)
	for _, i := range cells {
		if i%period == residue {
			s.rows = append(s.rows, i)
		}
	}
	return s.rows, period, true
}

// fullest counts rows by their remainder over p and gives the highest count.
func fullest(rows []int, p int, count *[longestRun + 1]int) int {
	for r := range p {
		count[r] = 0
	}
	best := 0
	for _, i := range rows {
		r := i % p
		count[r]++
		best = max(best, count[r])
	}
	return best
}

// finestPrint is the power of ten in which numbers are printed, 1e-9 at least.
func finestPrint(v []float64) float64 {
	q := 1.0
	for _, x := range v {
		for q > 1e-9 && math.Abs(x/q-math.Round(x/q)) > 1e-4 {
			q /= 10
		}
	}
	return q
}
