package csv

import (
	"fmt"

	"traplight/internal/logfile/table"
)

// slowCell understands a cell that is not a plain short number.
func (r *reader) slowCell(cell []byte, col int) float64 {
	c := &r.cols[col]
	if c.isClock {
		if t, ok := parseClock(cell, r.d.order); ok {
			return r.clockValue(c, t)
		}
	}
	kind, v, t, text := parseCell(cell, &r.d)
	switch kind {
	case blank:
	case plain:
	case withUnit:
		if c.tails == 0 {
			c.tail = r.cs.decode(text)
		}
		if string(text) == c.tail || r.cs.decode(text) == c.tail {
			c.tails++
		} else {
			c.otherTails++
			if c.otherTails == 1 {
				r.book.Add(fmt.Sprintf("column %q mixes units in its cells (%s, %s); the rarer ones count as blank", c.name, c.tail, r.cs.decode(text)), r.line)
			}
			return nan
		}
	case clock:
		return r.clockValue(c, t)
	case word:
		r.keepWord(c, text)
	}
	return v
}

func (r *reader) clockValue(c *column, t civil) float64 {
	c.isClock = true
	c.clocks[t.kind]++
	if t.short {
		c.short++
	}
	if t.zone != "" && r.zone == "" {
		r.zone = t.zone
	}
	if t.kind == table.TimeOfDay {
		return t.second
	}
	if !c.dayKnown {
		c.day, c.dayKnown = t.day, true
	}
	return float64(t.day-c.day)*86400 + t.second
}

func (r *reader) keepWord(c *column, text []byte) {
	if c.overflow {
		return
	}
	k, ok := c.kinds[string(text)]
	if !ok {
		if len(c.texts) >= maxWordKinds || len(text) > 1024 {
			c.overflow, c.words, c.texts, c.kinds = true, nil, nil, nil
			return
		}
		if c.kinds == nil {
			c.kinds = map[string]int32{}
		}
		k = int32(len(c.texts))
		c.texts = append(c.texts, r.decode(text))
		c.kinds[string(text)] = k
	}
	c.words = append(c.words, wordCell{r.row, k})
}
