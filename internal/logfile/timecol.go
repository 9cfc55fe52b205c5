package logfile

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// clockColumn is the column that tells the time of each row, in seconds.
type clockColumn struct {
	index  int
	other  int       // a date column that was joined with it, -1 none
	t      []float64 // s, log's own clock before wraps are undone; NaN where blank
	period float64   // s, after which it begins anew; 0 never
	day    int64     // days since 1970 of the first value; 0 unknown
	zone   string
	notes  []string
	// Plain numbers became seconds as (number − from)·factor; columns with clocks
	// of their own follow.
	from, factor float64
}

// timeWords are names of time columns, in letters only, as they begin or as
// whole words. (Languages: en, de, fr, es, it, pt, nl, sv/da/no, pl, cs, ja, ru.)
var timeWords = map[string]float64{
	"time": 1, "timestamp": 1, "zeit": 1, "zeitstempel": 1, "temps": 1, "tempo": 1, "tiempo": 1, "tid": 1, "tijd": 1, "tijdstip": 1,
	"czas": 1, "cas": 1, "čas": 1, "hora": 1, "heure": 1, "ora": 1, "uhrzeit": 1, "clock": 1, "elapsed": 0.9, "seconds": 0.9, "secs": 0.8, "sec": 0.8, "millis": 0.8, "ms": 0.6,
	"milliseconds": 0.8, "t": 0.7, "s": 0.3, "datetime": 1, "datum": 0.7, "date": 0.7, "fecha": 0.7, "data": 0.4, "horodatage": 1, "jikan": 1, "jikoku": 1, "時間": 1, "時刻": 1, "経過時間": 1, "タイム": 0.8, "время": 1,
	"runtime": 0.6, "utc": 0.7, "gpstime": 0.6, "boottime": 0.9, "tempus": 0.5, "zaman": 0.8, "sekunden": 0.8, "secondes": 0.8, "segundos": 0.8, "secondi": 0.8, "stamp": 0.8, "aika": 0.9,
}

// chooseClock picks the clock of a table. It looks at the name, the unit, and
// above all at whether the values run like a clock.
func chooseClock(t *table.Table) (*clockColumn, []string) {
	var notes []string
	best, bestScore := -1, 0.45
	for i := range t.Columns {
		c := &t.Columns[i]
		score, refusal := clockScore(t, c, i)
		if refusal != "" {
			notes = append(notes, refusal)
		}
		if t.Clock == i {
			score += 2
		}
		if score > bestScore {
			best, bestScore = i, score
		}
	}
	if best < 0 {
		if best = climbing(t); best < 0 {
			return nil, notes
		}
		notes = append(notes, fmt.Sprintf("no column is called a time; %q, which climbs in even steps, is taken for the clock", t.Columns[best].Name))
	}
	cc := seconds(t, best)
	cc.notes = append(notes, cc.notes...)
	return cc, nil
}

// clockScore says how much a column looks like the clock; refusal tells why a
// column that is called a time cannot be it.
func clockScore(t *table.Table, c *table.Column, index int) (score float64, refusal string) {
	if c.Kind == table.Words || c.Kind == table.Date || len(c.Values) == 0 || c.Times != nil {
		return 0, ""
	}
	name := nameScore(c.Name)
	unit, unitKnown := quantity.ParseUnit(c.Unit)
	isTime := unitKnown && unit.Dim == quantity.DimTime
	if unitKnown && unit.Dim != quantity.DimTime && unit.Dim != quantity.DimNumber {
		return 0, ""
	}
	if c.Kind == table.Numbers && name == 0 && !isTime && index != 0 {
		return 0, ""
	}
	// How it runs.
	up, down, same, blank := 0, 0, 0, 0
	prev := math.NaN()
	distinct := 1
	var big float64
	for _, v := range c.Values {
		switch {
		case v != v:
			blank++
			continue
		case prev != prev:
		case v > prev:
			up++
			distinct++
			big = max(big, v-prev)
		case v < prev && c.Kind == table.TimeOfDay && prev-v > c.Period/2:
			up++ // midnight
		case v < prev:
			down++
			distinct++
		default:
			same++
		}
		prev = v
	}
	n := len(c.Values)
	called := name >= 0.7 || isTime || c.Kind != table.Numbers
	switch {
	case n == blank:
		return 0, ""
	case n > 1 && up == 0 && called && down > 0:
		return 0, fmt.Sprintf("column %q runs backwards", c.Name)
	case n > 1 && up == 0 && called:
		return 0, fmt.Sprintf("column %q does not move on", c.Name)
	case n > 1 && up == 0:
		return 0, ""
	}
	steps := max(1, up+down+same)
	if n > 200 && float64(distinct) < 0.02*float64(n) {
		if name >= 0.7 || c.Kind != table.Numbers {
			refusal = fmt.Sprintf("column %q cannot be the clock: it has %d different values in %d rows", c.Name, distinct, n)
		}
		return 0, refusal
	}
	runs := float64(up+same)/float64(steps) - 5*float64(down)/float64(steps)
	if runs < 0.5 {
		return 0, ""
	}
	score = name + 0.5*runs
	if isTime {
		score += 0.6
	}
	if c.Kind != table.Numbers {
		score += 0.5
	}
	if index == 0 {
		score += 0.3
	}
	// Finer stamps are worth more: a clock that repeats itself gives way to one
	// that does not.
	score += 0.5 * float64(up) / float64(steps)
	score -= float64(blank) / float64(n)
	if c.Kind == table.Numbers && name == 0 && !isTime {
		// An unnamed first column must look like nothing but a clock; one that
		// counts the rows is none.
		if up != steps || !even(c.Values) || countsRows(c.Values) {
			return 0, ""
		}
		score -= 0.2
	}
	return score, ""
}

// climbing finds a column of numbers that never falls and rises in steps that are
// nearly all alike, as a clock does whatever it is called; -1 when there is none.
func climbing(t *table.Table) int {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Kind != table.Numbers || len(c.Values) < 50 || countsRows(c.Values) {
			continue
		}
		if u, ok := quantity.ParseUnit(c.Unit); ok && u.Dim != quantity.DimTime && u.Dim != quantity.DimNumber {
			continue
		}
		step, usual, up, fell := medianStep(c.Values), 0, 0, false
		for k := 1; k < len(c.Values); k++ {
			d := c.Values[k] - c.Values[k-1]
			if d < 0 || d != d {
				fell = true
				break
			}
			if d > 0 {
				up++
				if math.Abs(d-step) < 0.2*step {
					usual++
				}
			}
		}
		if !fell && 10*up > len(c.Values) && 10*usual > 8*up {
			return i
		}
	}
	return -1
}

// countsRows says whether a column just numbers the rows.
func countsRows(v []float64) bool {
	for i := 1; i < len(v); i++ {
		if v[i] != v[i-1]+1 {
			return false
		}
	}
	return true
}

// nameScore says how much a name sounds like a time.
func nameScore(name string) float64 {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
	best := 0.0
	for _, w := range words {
		s := timeWords[w]
		// "engine run time", "lap time" and the like are times of something.
		if len(words) > 1 {
			s *= 0.8
		}
		best = max(best, s)
	}
	if best == 0 {
		low := strings.ToLower(name)
		for _, w := range []string{"time", "zeit", "temps", "時間", "時刻"} {
			if strings.Contains(low, w) {
				best = 0.5
			}
		}
	}
	return best
}

// even says whether the steps of a series are nearly all alike.
func even(v []float64) bool {
	if len(v) < 3 {
		return false
	}
	step := (v[len(v)-1] - v[0]) / float64(len(v)-1)
	off := 0
	for i := 1; i < len(v); i++ {
		if !(math.Abs(v[i]-v[i-1]-step) < 0.6*math.Abs(step)) {
			off++
		}
	}
	return off*10 < len(v)
}

// Bounds that tell what a bare number means as a time.
const (
	unixFrom, unixTo   = 6.3e8, 4.2e9 // s since 1970: 1990 to 2103
	excelFrom, excelTo = 32874, 73415 // days since 1899-12-30: 1990 to 2101
	excelEpoch         = -25569       // days from 1970-01-01 to 1899-12-30
	excelStep          = 3e-5         // days between rows at most, 2.6 s: a larger step is one of seconds
)

// seconds converts a clock column to the log's own clock.
func seconds(t *table.Table, index int) *clockColumn {
	c := &t.Columns[index]
	cc := &clockColumn{index: index, other: -1, zone: c.Zone, factor: 1}
	switch c.Kind {
	case table.TimeOfDay:
		cc.t, cc.period = append([]float64(nil), c.Values...), c.Period
		if c.Period == 0 {
			cc.period = 86400
		}
		cc.joinDate(t)
		return cc
	case table.DateTime:
		cc.t, cc.day = append([]float64(nil), c.Values...), c.Day
		return cc
	}
	cc.t = append([]float64(nil), c.Values...)
	factor, told := 1.0, false
	if u, ok := quantity.ParseUnit(c.Unit); ok && u.Dim == quantity.DimTime {
		factor, told = u.Factor, true
	}
	first, step := math.NaN(), medianStep(c.Values)
	for _, v := range c.Values {
		if v == v {
			first = v
			break
		}
	}
	// Times since 1970, whatever their unit.
	for _, u := range []struct {
		factor float64
		name   string
	}{{1, "s"}, {1e-3, "ms"}, {1e-6, "µs"}, {1e-9, "ns"}} {
		if s := first * u.factor; s > unixFrom && s < unixTo && (!told || u.factor == factor) && step*u.factor < 3600 {
			cc.day = int64(math.Floor(s / 86400))
			whole := float64(cc.day) * 86400 / u.factor
			cc.from, cc.factor = whole, u.factor
			for i := range cc.t {
				cc.t[i] = (cc.t[i] - whole) * u.factor
			}
			redecimal(cc.t, first*u.factor)
			cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for the time in %s since 1970", c.Name, u.name))
			return cc
		}
	}
	if !told && first > excelFrom && first < excelTo && step < excelStep && step > 0 {
		cc.day = int64(math.Floor(first)) + excelEpoch
		whole := math.Floor(first)
		cc.from, cc.factor = whole, 86400
		for i := range cc.t {
			cc.t[i] = (cc.t[i] - whole) * 86400
		}
		redecimal(cc.t, 86400*first)
		cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for days of a spreadsheet's calendar", c.Name))
		return cc
	}
	if !told && sexagesimal(c) {
		for i, v := range cc.t {
			h, m := math.Floor(v/10000), math.Mod(math.Floor(v/100), 100)
			cc.t[i] = h*3600 + m*60 + math.Mod(v, 100)
		}
		cc.period = 86400
		redecimal(cc.t, first)
		cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for a time of day written as hhmmss", c.Name))
		return cc
	}
	if !told {
		factor = guessTimeUnit(c, step, t.Rows, numeric(t, index), &cc.notes)
	}
	cc.factor = factor
	if factor != 1 {
		inverse := math.Round(1 / factor)
		for i, v := range cc.t {
			if factor < 1 && math.Abs(inverse*factor-1) < 1e-12 {
				cc.t[i] = v / inverse // correctly rounded, as the decimal text would be
			} else {
				cc.t[i] = v * factor
			}
		}
	}
	return cc
}

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

// redecimal gives differences of large decimal numbers their decimals back: 0.21
// instead of 0.20999999. large is the number from which was subtracted, s.
func redecimal(t []float64, large float64) {
	noise := 2 * (math.Nextafter(large, math.Inf(1)) - large)
	for _, scale := range []float64{1, 10, 100, 1000, 1e4, 1e5, 1e6} {
		if noise*scale > 0.2 {
			return
		}
		fits := true
		for _, x := range t {
			if x == x && math.Abs(x*scale-math.Round(x*scale)) > noise*scale+1e-9 {
				fits = false
				break
			}
		}
		if fits {
			for i, x := range t {
				t[i] = math.Round(x*scale) / scale
			}
			return
		}
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
