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
		return nil, notes
	}
	cc := seconds(t, best)
	cc.notes = append(notes, cc.notes...)
	return cc, nil
}

// clockScore says how much a column looks like the clock; refusal tells why a
// column that is called a time cannot be it.
func clockScore(t *table.Table, c *table.Column, index int) (score float64, refusal string) {
	if c.Kind == table.Words || c.Kind == table.Date || len(c.Values) == 0 {
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
		case v < prev:
			down++
			distinct++
		default:
			same++
		}
		prev = v
	}
	n := len(c.Values)
	if n == blank || n > 1 && up == 0 {
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
		// An unnamed first column must look like nothing but a clock.
		if up != steps || !even(c.Values) {
			return 0, ""
		}
		score -= 0.2
	}
	return score, ""
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
)

// seconds converts a clock column to the log's own clock.
func seconds(t *table.Table, index int) *clockColumn {
	c := &t.Columns[index]
	cc := &clockColumn{index: index, other: -1, zone: c.Zone}
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
			for i := range cc.t {
				cc.t[i] = (cc.t[i] - whole) * u.factor
			}
			cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for the time in %s since 1970", c.Name, u.name))
			return cc
		}
	}
	if !told && first > excelFrom && first < excelTo && step < 0.05 && step > 0 {
		cc.day = int64(math.Floor(first)) + excelEpoch
		whole := math.Floor(first)
		for i := range cc.t {
			cc.t[i] = (cc.t[i] - whole) * 86400
		}
		cc.notes = append(cc.notes, fmt.Sprintf("column %q is taken for days of a spreadsheet's calendar", c.Name))
		return cc
	}
	if !told {
		factor = guessTimeUnit(c, step, t.Rows, &cc.notes)
	}
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
func guessTimeUnit(c *table.Column, step float64, rows int, notes *[]string) float64 {
	low := strings.ToLower(c.Name)
	for _, w := range strings.FieldsFunc(low, func(r rune) bool { return !unicode.IsLetter(r) }) {
		if u, ok := quantity.ParseUnit(w); ok && u.Dim == quantity.DimTime && w != "s" && w != "h" && w != "t" && w != "d" {
			return u.Factor
		}
	}
	whole := true
	for _, v := range c.Values {
		if v == v && v != math.Trunc(v) {
			whole = false
			break
		}
	}
	switch {
	case whole && step >= 2 && step <= 1000 && step != 1:
		// Whole seconds of 2 and more between rows are not a car's log.
		*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for milliseconds", c.Name))
		return 1e-3
	case whole && step > 1000 && step < 1e6:
		*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for microseconds", c.Name))
		return 1e-6
	case whole && step >= 1e6:
		*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for nanoseconds", c.Name))
		return 1e-9
	case step > 0 && step < 2e-6 && rows > 100:
		*notes = append(*notes, fmt.Sprintf("column %q states no unit and is taken for hours", c.Name))
		return 3600
	}
	return 1
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
