package logfile

// tautString gives the shortest path through a tube: of all series that stay
// within half of the stamp's print, s, of each stamp, the one that a string
// pulled tight would take. Where stamps are coarser than rows it is straight as
// long as the rows are even, and bends only where the stamps force it, so rows
// are placed far finer than their print. stamps rise or repeat.
//
// The method is the funnel of Davies and Kovac (2001), Ann. Statist. 29, 1–65
// (from memory): walk on while one slope fits the tube; where none does, go to
// the corner that binds and begin anew there.
func tautString(stamps []float64, print float64) []float64 {
	n := len(stamps)
	out := make([]float64, n)
	half := 0.51 * print
	low := func(i int) float64 { return stamps[i] - half }
	high := func(i int) float64 { return stamps[i] + half }
	anchor, at := 0, stamps[0]
	out[0] = at
	for anchor < n-1 {
		// Slopes from the anchor that stay in the tube up to i.
		least, most := -1e300, 1e300
		leastAt, mostAt := anchor+1, anchor+1
		i := anchor + 1
		end, value := -1, 0.0
		for ; i < n; i++ {
			k := float64(i - anchor)
			a, b := (low(i)-at)/k, (high(i)-at)/k
			if a > most { // the tube rises above: bend at the upper corner
				end, value = mostAt, at+most*float64(mostAt-anchor)
				break
			}
			if b < least {
				end, value = leastAt, at+least*float64(leastAt-anchor)
				break
			}
			if a >= least {
				least, leastAt = a, i
			}
			if b <= most {
				most, mostAt = b, i
			}
		}
		if end < 0 { // one slope fits to the end: the one nearest the middle
			end = n - 1
			slope := (stamps[end] - at) / float64(end-anchor)
			value = at + max(least, min(most, slope))*float64(end-anchor)
		}
		for k := anchor + 1; k <= end; k++ {
			out[k] = at + (value-at)*float64(k-anchor)/float64(end-anchor)
		}
		anchor, at = end, value
	}
	return out
}
