package logfile

import (
	"fmt"
	"math"

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

// leastScore is the score from which a column may be the clock. An unnamed first
// column that climbs without a miss has 1.1; what stays below is mostly blank.
const leastScore = 0.45

// chooseClock picks the clock of a table. It looks at the name, the unit, and
// above all at whether the values run like a clock.
func chooseClock(t *table.Table) (*clockColumn, []string) {
	best, notes := likeClock(t)
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

// likeClock is the column that looks most like the clock, -1 without one, and why some that
// are called a time are none.
func likeClock(t *table.Table) (best int, notes []string) {
	best, bestScore := -1, leastScore
	for i := range t.Columns {
		c := &t.Columns[i]
		score, refusal := clockScore(c, i)
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
	return best, notes
}

// clockScore says how much a column looks like the clock: points for its name
// (timeWords), its unit and kind, its place and how steadily it climbs, weighed by
// hand. refusal tells why a column that is called a time cannot be it.
func clockScore(c *table.Column, index int) (score float64, refusal string) {
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
	g := gaitOf(c)
	n := len(c.Values)
	called := name >= 0.7 || isTime || c.Kind != table.Numbers
	switch {
	case n == g.blank:
		return 0, ""
	case n > 1 && g.up == 0 && called && g.down > 0:
		return 0, fmt.Sprintf("column %q runs backwards", c.Name)
	case n > 1 && g.up == 0 && called:
		return 0, fmt.Sprintf("column %q does not move on", c.Name)
	case n > 1 && g.up == 0:
		return 0, ""
	}
	steps := max(1, g.up+g.down+g.same)
	if n > 200 && float64(g.distinct) < 0.02*float64(n) && tickStep(c.Values) == 0 {
		if name >= 0.7 || c.Kind != table.Numbers {
			refusal = fmt.Sprintf("column %q cannot be the clock: it has %d different values in %d rows", c.Name, g.distinct, n)
		}
		return 0, refusal
	}
	runs := float64(g.up+g.same)/float64(steps) - 5*float64(g.down)/float64(steps)
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
	score += 0.5 * float64(g.up) / float64(steps)
	score -= float64(g.blank) / float64(n)
	if g.down > 0 && c.Kind == table.Numbers {
		score -= 0.6 // a lap's time: the clock of the whole goes on
	}
	if c.Kind == table.Numbers && name == 0 && !isTime {
		// An unnamed first column must look like nothing but a clock; one that
		// counts the rows is none.
		if g.up != steps || !even(c.Values) || countsRows(c.Values) {
			return 0, ""
		}
		score -= 0.2
	}
	return score, ""
}

// gait is how a column runs from row to row, in rows.
type gait struct {
	up, down, same, blank int
	distinct              int // values that differ from the one before
}

func gaitOf(c *table.Column) gait {
	g := gait{distinct: 1}
	prev := math.NaN()
	for _, v := range c.Values {
		switch {
		case v != v:
			g.blank++
			continue
		case prev != prev:
		case v > prev:
			g.up++
			g.distinct++
		case v < prev && c.Kind == table.TimeOfDay && prev-v > c.Period/2:
			g.up++ // midnight
		case v < prev:
			g.down++
			g.distinct++
		default:
			g.same++
		}
		prev = v
	}
	return g
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
