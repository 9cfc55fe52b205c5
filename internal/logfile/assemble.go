package logfile

import (
	"fmt"
	"math"
	"strings"
	"time"

	"traplight/internal/logfile/table"
)

// assemble finds the clock of a table, repairs it, and makes the log.
func assemble(name string, t *table.Table) (*Log, error) {
	if t.Rows == 1 {
		return nil, &Error{File: name, Err: ErrNoRows, Reason: "only one row", Hint: "a pass needs some thousand; was the right file exported?"}
	}
	cc, refusals := chooseClock(t)
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
	log.Start = start(cc, t)
	return log, nil
}

// mostTimeless is how many rows without a time, at either end, are taken for
// something else than samples.
const mostTimeless = 20

// trimTimeless takes off rows at either end whose time is no time: lines of
// extremes, means or units that some programs put there.
func trimTimeless(t *table.Table, cc *clockColumn) {
	n := len(cc.t)
	from, to := 0, n
	for from < n && cc.t[from] != cc.t[from] {
		from++
	}
	for to > from && cc.t[to-1] != cc.t[to-1] {
		to--
	}
	if from > mostTimeless {
		from = 0
	}
	if n-to > mostTimeless {
		to = n
	}
	if from == 0 && to == n {
		return
	}
	var lines []string
	for i := range n {
		if (i < from || i >= to) && len(lines) < 3 && t.Line(i) > 0 {
			lines = append(lines, fmt.Sprint(t.Line(i)))
		}
	}
	note := fmt.Sprintf("%d rows at the end", n-to)
	switch {
	case n-to == 0:
		note = fmt.Sprintf("%d rows at the beginning", from)
	case from > 0:
		note = fmt.Sprintf("%d rows at beginning and end", from+n-to)
	}
	note += " have no time and were dropped"
	if len(lines) > 0 {
		note += ", in line " + strings.Join(lines, ", ")
	}
	cc.notes = append(cc.notes, note)
	cc.t = cc.t[from:to]
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Times != nil {
			continue
		}
		if len(c.Values) == n {
			c.Values = c.Values[from:to]
		}
		if len(c.Text) == n {
			c.Text = c.Text[from:to]
		}
	}
	var parts []table.Part
	for k, p := range t.Parts {
		end := n
		if k+1 < len(t.Parts) {
			end = t.Parts[k+1].Row
		}
		if end <= from || p.Row >= to {
			continue
		}
		if p.Row < from {
			if p.Line > 0 {
				p.Line += from - p.Row
			}
			p.Row = from
		}
		p.Row -= from
		parts = append(parts, p)
	}
	t.Parts, t.Rows = parts, to-from
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

// start tells when the log began, as far as its clock or its metadata know.
func start(cc *clockColumn, t *table.Table) string {
	if cc.day != 0 {
		at := time.Unix(cc.day*86400, 0).UTC().Add(time.Duration(cc.t[0] * 1e9))
		return at.Format("2006-01-02T15:04:05") + cc.zone
	}
	date, clock := "", ""
	for k, v := range t.Meta {
		low := strings.ToLower(k)
		for _, w := range []string{"date", "recorded", "start", "datum", "fecha", "data", "begin", "session"} {
			if strings.Contains(low, w) {
				if d, c, ok := splitStart(v); ok {
					date = d
					if c != "" {
						clock = c
					}
				}
			}
		}
		if (low == "time" || low == "zeit" || low == "heure" || low == "hora") && clock == "" {
			if _, c, ok := splitStart("2000-01-01 " + v); ok {
				clock = c
			}
		}
	}
	if date == "" {
		return ""
	}
	if clock == "" {
		return date
	}
	return date + "T" + clock
}

// splitStart understands the usual ways of writing a date and time.
func splitStart(s string) (date, clock string, ok bool) {
	s = strings.TrimSpace(strings.Replace(s, "T", " ", 1))
	for _, f := range []string{"2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02", "02.01.2006 15:04:05", "02.01.2006 15:04", "02.01.2006",
		"02/01/2006 15:04:05", "02/01/2006", "01/02/2006 15:04:05", "01/02/2006", "2 Jan 2006 15:04:05", "2 Jan 2006", "2006/01/02 15:04:05", "2006/01/02"} {
		if at, err := time.Parse(f, s); err == nil {
			if strings.Contains(f, "15") {
				return at.Format("2006-01-02"), at.Format("15:04:05"), true
			}
			return at.Format("2006-01-02"), "", true
		}
	}
	return "", "", false
}
