package logfile

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/logfile/table"
)

// assemble finds the clock of a table, repairs it, and makes the log.
func assemble(name string, t *table.Table) (*Log, error) {
	if t.Rows == 1 {
		return nil, &Error{File: name, Err: ErrNoRows, Reason: "only one row", Hint: "a pass needs some thousand; was the right file exported?"}
	}
	t = unstack(t)
	joinMillis(t)
	addSteps(t)
	putInOrder(t)
	cc, refusals := chooseClock(t)
	if cc == nil {
		cc = clockByRate(t)
	}
	if cc == nil {
		reason := "no column runs like a time"
		if len(refusals) > 0 {
			reason = strings.Join(refusals, "; ")
		}
		var names []string
		for _, c := range t.Columns {
			if len(names) < 6 {
				names = append(names, c.Name)
			}
		}
		line := 0
		if len(t.Parts) > 0 {
			line = max(0, t.Parts[0].Line-1)
		}
		return nil, &Error{File: name, Line: line, Err: ErrNoClock, Reason: reason,
			Hint: fmt.Sprintf("the columns are %s …; a log needs one such as Time [s]", strings.Join(names, ", "))}
	}
	for i, x := range cc.t {
		if math.IsInf(x, 0) {
			cc.t[i] = math.NaN()
		}
	}
	if !anyNumber(cc.t) {
		return nil, &Error{File: name, Err: ErrNoRows, Reason: "the time column is blank"}
	}
	trimTimeless(t, cc)
	dropFills(t, cc.index, cc.other)
	dropNoValues(t, cc.index, cc.other)
	log := &Log{File: name, Format: t.Format, Meta: t.Meta, Notes: append(t.Notes, cc.notes...)}
	var channels [][]float64
	for i := range t.Columns {
		c := &t.Columns[i]
		if i == cc.index || i == cc.other {
			continue
		}
		if c.Kind == table.Numbers && len(c.Values) == len(cc.t) && c.Times == nil {
			channels = append(channels, c.Values)
		}
		if c.Kind == table.Words && c.Times == nil {
			if v := unword(c); v != nil {
				c.Kind, c.Values, c.Text = table.Numbers, v, nil
			}
		}
		col := Column{Name: c.Name, Unit: c.Unit, Values: c.Values, Text: c.Text, Times: c.Times}
		if c.Kind == table.Words && col.Values == nil {
			col.Values = make([]float64, 0)
		}
		log.Columns = append(log.Columns, col)
	}
	var parts []int
	for _, p := range t.Parts {
		if p.Row > 0 {
			parts = append(parts, p.Row)
		}
	}
	r := repair(cc.t, cc.period, t.Exact, parts, channels, t.Line)
	log.RowTime, log.Clock, log.RowStep, log.StampStep, log.Parts, log.Breaks = r.run, r.clock, r.step, r.stamp, r.parts, r.breaks
	log.Notes = append(log.Notes, r.notes...)
	ownClocks(log, cc)
	note := ""
	if log.Start, note = start(cc, t); note != "" {
		log.Notes = append(log.Notes, note)
	}
	return log, nil
}

// ownClocks brings the times of columns with a clock of their own to the run
// clock.
func ownClocks(log *Log, cc *clockColumn) {
	done := map[*float64][]float64{}
	for i := range log.Columns {
		c := &log.Columns[i]
		if len(c.Times) == 0 {
			continue
		}
		key := &c.Times[0]
		if done[key] == nil {
			t := make([]float64, len(c.Times))
			for k, x := range c.Times {
				t[k] = log.Clock.Run((x - cc.from) * cc.factor)
				if k > 0 && !(t[k] > t[k-1]) {
					t[k] = t[k-1] + 1e-9*max(1, math.Abs(t[k-1])*1e-3)
				}
			}
			done[key] = t
		}
		c.Times = done[key]
	}
}

func anyNumber(v []float64) bool {
	for _, x := range v {
		if x == x {
			return true
		}
	}
	return false
}
