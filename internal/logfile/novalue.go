package logfile

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/logfile/table"
)

// leastReadings is how many other readings a column must have before a number in
// it can stand for "no value".
const leastReadings = 5

// dropNoValues blanks the numbers by which recorders write "no value": -9999,
// 99999, the ends of a counter's range. Such a number stands in two columns at
// least and in each far beyond all their readings; one sensor that hangs at the
// end of its range is a matter for who judges sensors.
func dropNoValues(t *table.Table, clock, other int) {
	columns := map[float64][]int{}
	for i := range t.Columns {
		c := &t.Columns[i]
		if i == clock || i == other || c.Kind != table.Numbers {
			continue
		}
		for _, x := range endsApart(c.Values) {
			columns[x] = append(columns[x], i)
		}
	}
	for _, x := range slices.Sorted(maps.Keys(columns)) {
		where := columns[x]
		if len(where) < 2 {
			continue
		}
		for _, i := range where {
			for k, v := range t.Columns[i].Values {
				if v == x {
					t.Columns[i].Values[k] = math.NaN()
				}
			}
		}
		t.Notes = append(t.Notes, fmt.Sprintf("%s stands for no value in %d columns, %q first", strconv.FormatFloat(x, 'g', -1, 64), len(where), t.Columns[where[0]].Name))
	}
}

// endsApart are the smallest and the largest number of a column where they are
// such as recorders write for "no value", come twice or more, and are further from
// the other readings than twice the range of these.
func endsApart(values []float64) (out []float64) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v == v {
			low, high = min(low, v), max(high, v)
		}
	}
	for _, x := range []float64{low, high} {
		if !writtenForNone(x) {
			continue
		}
		times, rest, from, to := 0, 0, math.Inf(1), math.Inf(-1)
		for _, v := range values {
			switch {
			case v == x:
				times++
			case v == v && !writtenForNone(v):
				rest, from, to = rest+1, min(from, v), max(to, v)
			}
		}
		if gap := max(from-x, x-to); times >= 2 && rest >= leastReadings && gap > 2*(to-from) {
			out = append(out, x)
		}
	}
	return out
}

// writtenForNone says whether a number is made of nines alone, three or more, or
// is an end of the range of a counter of 16 or 32 bits or of a float32.
func writtenForNone(x float64) bool {
	switch a := math.Abs(x); {
	case a < 99.9 || math.IsInf(a, 0):
		return false
	case a == 999.25: // "no value" of well logs (LAS 2.0, from memory)
		return true
	case a > 1e29: // powers of ten near the end of a float32
		return true
	case a == 32767 || a == 32768 || a == 65535 || a == 2147483647 || a == 2147483648 || a == 4294967295:
		return true
	default:
		digits := strings.Replace(strconv.FormatFloat(a, 'f', -1, 64), ".", "", 1)
		return len(digits) >= 3 && strings.Trim(digits, "9") == ""
	}
}
