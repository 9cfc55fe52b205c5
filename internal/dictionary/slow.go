package dictionary

import (
	"math"

	"traplight/internal/num/stats"
)

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
	big := stats.Select(after, len(after)/2)
	if big < 2.5*print {
		return false
	}
	if len(adjacent) > 10 {
		return big > 0.8*stats.Select(adjacent, len(adjacent)/2)
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
