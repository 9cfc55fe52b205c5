package csv

// shortRowsBefore is the first row where the first rows end at their last reading, between
// the names and the first row of full width.
func shortRowsBefore(cells [][][]byte, numeric, filled []int, d *dialect) int {
	for i := d.first - 1; i >= 0; i-- {
		n := len(cells[i])
		if numeric[i] == 0 && filled[i] == n && n >= d.fields-1 && n > 2 {
			return i + 1 // the names
		}
		if n < 2 || n >= d.fields || !isData(cells[i], numeric[i], filled[i]) {
			break
		}
	}
	return d.first
}

// leastRagged is the share of rows that must be as wide as the names where others are shorter.
const leastRagged = 0.02

// namesOver is the width of a line of names above rows that end where their last reading
// stands, so that most are shorter than it; 0 when there is none.
func namesOver(cells [][][]byte, numeric, filled []int, fields int) int {
	for i := range cells {
		n := len(cells[i])
		if n < fields || n < 3 {
			continue
		}
		if numeric[i] > 0 || filled[i] < n {
			if numeric[i] > 0 {
				return 0 // a row that is wider than any names before it
			}
			continue
		}
		full, all, wider := 0, 0, false // rows as wide as the names, and all
		for j := i + 1; j < len(cells); j++ {
			if numeric[j] == 0 {
				continue
			}
			all++
			wider = wider || len(cells[j]) > n+1
			if len(cells[j]) >= n-1 {
				full++
			}
		}
		if short := all - full; !wider && all > 10 && float64(full) >= leastRagged*float64(all) && float64(short) >= leastRagged*float64(all) {
			return n
		}
	}
	return 0
}
