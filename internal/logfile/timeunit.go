package logfile

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// guessTimeUnit decides between seconds, milliseconds and finer for a clock
// without a unit: rows of a car's log come 0.2 to 5000 times a second.
func guessTimeUnit(c *table.Column, step float64, rows int, channels [][]float64, notes *[]string) float64 {
	low := strings.ToLower(c.Name)
	for _, w := range strings.FieldsFunc(low, func(r rune) bool { return !unicode.IsLetter(r) }) {
		if u, ok := quantity.ParseUnit(w); ok && u.Dim == quantity.DimTime && w != "s" && w != "h" && w != "t" && w != "d" {
			return u.Factor
		}
	}
	for _, v := range c.Values {
		if v == v && v != math.Trunc(v) {
			if step > 0 && step < 2e-6 && rows > 100 {
				*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for hours", c.Name))
				return 3600
			}
			return 1 // a clock with decimals counts seconds
		}
	}
	// Whole numbers: of the units that give a rate that logs have, the one that
	// fits how fast the channels change from row to row.
	perRow := (span(c.Values) + step) / float64(max(1, rows))
	best, bestOff, unit := 1.0, math.Inf(1), "seconds"
	guess := rateByRoughness(channels)
	for _, u := range []struct {
		factor float64
		name   string
	}{{1, "seconds"}, {1e-3, "milliseconds"}, {1e-6, "microseconds"}, {1e-9, "nanoseconds"}} {
		rate := 1 / (perRow * u.factor)
		if rate < 0.15 || rate > 5000 {
			continue
		}
		off := math.Abs(math.Log(rate / guess))
		if u.factor == 1 && step == 1 {
			off -= oneIsSecond
		}
		if off < bestOff {
			best, bestOff, unit = u.factor, off, u.name
		}
	}
	if best != 1 {
		*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for %s", c.Name, unit))
	}
	return best
}

func span(v []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range v {
		if x == x {
			low, high = min(low, x), max(high, x)
		}
	}
	return high - low
}

// oneIsSecond is how much a step of exactly one speaks for seconds, nats: long
// drives logged once a second look rougher than they are.
const oneIsSecond = 3.4

// usualSwing is the time, s, in which a channel of a car typically moves through
// its range once (by experiment on the reference logs: 2 to 40 s).
const usualSwing = 8

// rateByRoughness guesses the rate of rows, Hz, from how far channels move in one
// row, as a share of their range. It is right within a factor of ten or so, which
// tells seconds from milliseconds.
func rateByRoughness(channels [][]float64) float64 {
	var shares []float64
	for _, v := range channels {
		wide := span(v)
		if !(wide > 0) {
			continue
		}
		var steps []float64
		last, lastRow := math.NaN(), 0
		for i, x := range v {
			if x != x || x == last {
				continue
			}
			if last == last {
				steps = append(steps, math.Abs(x-last)/float64(i-lastRow))
			}
			last, lastRow = x, i
		}
		if len(steps) >= 20 {
			shares = append(shares, median(steps)/wide)
		}
	}
	if len(shares) == 0 {
		return 100
	}
	return 1 / (usualSwing * max(1e-6, median(shares)))
}

// medianStep is the median of the positive steps of a series, 0 when none.
func medianStep(v []float64) float64 {
	var d []float64
	prev := math.NaN()
	for _, x := range v {
		if x == x {
			if x > prev {
				d = append(d, x-prev)
			}
			prev = x
		}
	}
	return median(d)
}

// numeric gives the columns of numbers other than the clock.
func numeric(t *table.Table, clock int) [][]float64 {
	var out [][]float64
	for i := range t.Columns {
		if c := &t.Columns[i]; i != clock && c.Kind == table.Numbers && c.Times == nil {
			out = append(out, c.Values)
		}
	}
	return out
}
