package logfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

const secondsOfDay = 86400

// Bounds that tell what a bare number means as a time.
const (
	unixFrom, unixTo   = 6.3e8, 4.2e9 // s since 1970: 1990 to 2103
	sheetFrom, sheetTo = 32874, 73415 // days since 1899-12-30: 1990 to 2101
	sheetEpoch         = -25569       // days from 1970-01-01 to 1899-12-30
	sheetStep          = 3e-5         // days between rows at most, 2.6 s: a larger step is one of seconds
)

// seconds converts a clock column to the log's own clock.
func seconds(t *table.Table, index int) *clockColumn {
	c := &t.Columns[index]
	cc := &clockColumn{index: index, other: -1, zone: c.Zone, factor: 1, t: slices.Clone(c.Values)}
	switch c.Kind {
	case table.TimeOfDay:
		cc.period = c.Period
		if c.Period == 0 {
			cc.period = secondsOfDay
		}
		cc.joinDate(t)
		return cc
	case table.DateTime:
		cc.day = c.Day
		return cc
	}
	unit, told := quantity.ParseUnit(c.Unit)
	told = told && unit.Dim == quantity.DimTime
	first, step := firstNumber(c.Values), medianStep(c.Values)
	switch {
	case cc.since1970(c, first, step, unit.Factor, told):
	case told:
		cc.scale(unit.Factor)
	case cc.sheetDays(c, first, step):
	case sexagesimal(c):
		cc.clockDigits(c, first)
	default:
		cc.scale(guessTimeUnit(c, step, t.Rows, numeric(t, index), &cc.notes))
	}
	return cc
}

func firstNumber(v []float64) float64 {
	for _, x := range v {
		if x == x {
			return x
		}
	}
	return math.NaN()
}

// since1970 takes numbers for times since 1970 if they can be, in whatever unit
// it is; told says that the column states one of factor s.
func (cc *clockColumn) since1970(c *table.Column, first, step, factor float64, told bool) bool {
	for _, u := range []struct {
		factor float64
		name   string
	}{{1, "s"}, {1e-3, "ms"}, {1e-6, "µs"}, {1e-9, "ns"}} {
		s := first * u.factor
		if s <= unixFrom || s >= unixTo || told && u.factor != factor || step*u.factor >= 3600 {
			continue
		}
		cc.day = int64(math.Floor(s / secondsOfDay))
		whole := float64(cc.day) * secondsOfDay / u.factor
		cc.from, cc.factor = whole, u.factor
		for i := range cc.t {
			cc.t[i] = (cc.t[i] - whole) * u.factor
		}
		redecimal(cc.t, s)
		cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for the time in %s since 1970", c.Name, u.name))
		return true
	}
	return false
}

// sheetDays takes numbers for days of a spreadsheet's calendar if they can be.
func (cc *clockColumn) sheetDays(c *table.Column, first, step float64) bool {
	if !(first > sheetFrom && first < sheetTo && step < sheetStep && step > 0) {
		return false
	}
	whole := math.Floor(first)
	cc.day = int64(whole) + sheetEpoch
	cc.from, cc.factor = whole, secondsOfDay
	for i := range cc.t {
		cc.t[i] = (cc.t[i] - whole) * secondsOfDay
	}
	redecimal(cc.t, secondsOfDay*first)
	cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for days of a spreadsheet's calendar", c.Name))
	return true
}

// clockDigits takes numbers for times of day written hhmmss.
func (cc *clockColumn) clockDigits(c *table.Column, first float64) {
	for i, v := range cc.t {
		h, m := math.Floor(v/10000), math.Mod(math.Floor(v/100), 100)
		cc.t[i] = h*3600 + m*60 + math.Mod(v, 100)
	}
	cc.period = secondsOfDay
	redecimal(cc.t, first)
	cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for a time of day written as hhmmss", c.Name))
}

// scale takes numbers for times in units of factor, s.
func (cc *clockColumn) scale(factor float64) {
	cc.factor = factor
	if factor == 1 {
		return
	}
	inverse := math.Round(1 / factor)
	for i, v := range cc.t {
		if factor < 1 && math.Abs(inverse*factor-1) < 1e-12 {
			cc.t[i] = v / inverse // correctly rounded, as the decimal text would be
		} else {
			cc.t[i] = v * factor
		}
	}
}

// joinDate adds the day of a date column to a time of day.
func (cc *clockColumn) joinDate(t *table.Table) {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Kind != table.Date {
			continue
		}
		cc.other, cc.day = i, c.Day
		day := 0.0
		for k := range cc.t {
			if k < len(c.Values) && c.Values[k] == c.Values[k] {
				day = c.Values[k]
			}
			cc.t[k] += day
		}
		cc.period = 0
		return
	}
}

// sexagesimal says whether plain numbers are times of day written hhmmss: no
// minute or second reaches 60, and the step over a full minute is 40 more than
// usual.
func sexagesimal(c *table.Column) bool {
	low := strings.ToLower(c.Name)
	named := strings.Contains(low, "utc") || strings.Contains(low, "gps") || strings.Contains(low, "hhmmss")
	carries, prev := 0, math.NaN()
	big := false
	for _, v := range c.Values {
		if v != v {
			continue
		}
		if v < 0 || v >= 240000 || math.Mod(v, 100) >= 60 || math.Mod(math.Floor(v/100), 100) >= 60 {
			return false
		}
		big = big || v >= 100
		if d := v - prev; d > 40 && d <= 100 && math.Mod(prev, 100) > 30 && math.Mod(v, 100) < 30 {
			carries++
		}
		prev = v
	}
	return big && (carries > 0 && (named || carries > 1) || named)
}
