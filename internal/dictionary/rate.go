package dictionary

import (
	"math"

	"traplight/internal/num/stats"
)

// fillRates gives channels that hardly change, so that their rate does not show,
// the rate of the slowest held channels that have a rhythm, else that of the
// rows.
func fillRates(set *Set, rowRate float64) {
	slow := math.Inf(1)
	for i := range set.Channels {
		if c := &set.Channels[i]; c.RateHz > 0 && c.held && c.rhythm {
			slow = min(slow, c.RateHz)
		}
	}
	if math.IsInf(slow, 1) {
		slow = rowRate
	}
	for i := range set.Channels {
		if c := &set.Channels[i]; c.RateHz == 0 && c.Trace.Len() > 1 {
			c.RateHz = slow
		}
	}
}

// allRows lists the rows of a log.
func allRows(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// rates that instruments usually have, Hz.
var usualRates = []float64{0.5, 1, 2, 2.5, 4, 5, 8, 10, 12.5, 15, 16, 18, 20, 25, 30, 100.0 / 3, 40, 50, 60, 62.5, 200.0 / 3, 75, 80, 100, 120, 125, 150, 200, 250, 300, 400, 500, 1000}

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
	// Gaps are steps far beyond what is usual.
	most := 4 * stats.Select(few, len(few)*9/10)
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
