package nmea

import (
	"fmt"

	"traplight/internal/logfile/table"
)

// flush ends an instant.
func (r *reader) flush() {
	if !r.open {
		return
	}
	r.open = false
	e := &r.now
	if !e.fix || e.noFix || e.cells[cSpeed] != e.cells[cSpeed] && e.cells[cLatitude] != e.cells[cLatitude] {
		r.noFix++
		return
	}
	for i, v := range e.cells {
		r.values[i] = append(r.values[i], v)
	}
	r.clock = append(r.clock, e.clock)
	r.days = append(r.days, e.day)
	r.lines = append(r.lines, e.line)
}

// finish makes the table.
func (r *reader) finish(name string) (*table.Table, error) {
	n := len(r.clock)
	if n == 0 {
		return nil, &table.Error{File: name, Err: table.ErrNoRows, Reason: fmt.Sprintf("%d sentences, none of them with a position fix", r.total)}
	}
	t := &table.Table{Format: "nmea", Meta: map[string]string{}, Rows: n, Clock: 0, Exact: true, Parts: []table.Part{{Row: 0}}}
	clock := table.Column{Name: "UTC", Kind: table.TimeOfDay, Values: r.clock, Period: 86400}
	dated := 0
	for _, d := range r.days {
		if d != 0 {
			dated++
		}
	}
	if 2*dated > n {
		// Instants without a date take their neighbour's.
		last := int64(0)
		for i := range r.days {
			if r.days[i] == 0 {
				r.days[i] = last
			}
			last = r.days[i]
		}
		for i := n - 1; i >= 0; i-- {
			if r.days[i] == 0 {
				r.days[i] = last
			}
			last = r.days[i]
		}
		clock.Kind, clock.Day, clock.Zone = table.DateTime, r.days[0], "Z"
		clock.Values = make([]float64, n)
		for i := range r.clock {
			clock.Values[i] = r.clock[i] + float64(r.days[i]-clock.Day)*86400
		}
	}
	t.Columns = append(t.Columns, clock)
	for i, h := range headings {
		used := false
		for _, v := range r.values[i] {
			if v == v {
				used = true
				break
			}
		}
		if used {
			t.Columns = append(t.Columns, table.Column{Name: h[0], Unit: h[1], Values: r.values[i]})
		}
	}
	if r.noFix > 0 {
		r.book.Add(fmt.Sprintf("%d instants without a valid fix were dropped", r.noFix), 0)
	}
	t.Notes = r.book.Sentences()
	return t, nil
}
