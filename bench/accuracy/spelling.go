package main

import (
	"bytes"
	"strings"

	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
)

// spelling is one odd way in which a log may be written. The report must be the
// same as that of the log as it is, unless wish says otherwise.
type spelling struct {
	name   string
	change func(d *draft)
	wish   string // "" same, "within": inside the intervals, "less": that, but figures may be missing, or the log be refused
}

// draft is a log that is being written in an odd way.
type draft struct {
	logfiletest.Sample
	known          []writtenColumn // as the columns were, by the same index as Columns
	text           logfiletest.Dialect
	after          []func([]byte) []byte    // on the text, UTF-8 unless text says otherwise
	ending         string                   // of the file's name
	shift          float64                  // s, by which the log's own clock is moved
	density        float64                  // kg/m³, of the fuel by the sheet
	circumference  float64                  // m, that wheels roll in a turn by the logger
	barometer      float64                  // Pa, what gauges count from
	launch, finish float64                  // s, log's own clock, of the first pass
	moments        map[string]float64       // figure of a shift → s, log's own clock, its start
	gears          map[string][2]float64    // by number: s, log\'s own clock, from and to
	counts         func(figure string) bool // which figures are asked for, nil all
	moved          bool                     // the log's own clock is moved by an amount that the launch tells
}

// lines adds a change to the text, line by line; the first is the header.
func (d *draft) lines(f func(lines []string) []string) {
	d.after = append(d.after, func(b []byte) []byte {
		in := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
		return []byte(strings.Join(f(in), "\n") + "\n")
	})
}

// rows is lines without the header, each by itself; i counts from 0.
func (d *draft) rows(f func(i int, row string) string) {
	d.lines(func(l []string) []string {
		for i := 1; i < len(l); i++ {
			l[i] = f(i-1, l[i])
		}
		return l
	})
}

// each runs over the columns whose quantity in the truth begins with one of the
// prefixes.
func (d *draft) each(f func(c *logfiletest.Column, w *writtenColumn), prefixes ...string) {
	for i := range d.Columns {
		if w := &d.known[i]; w.quantity != "" && hasAnyPrefix(w.quantity, prefixes) && d.Columns[i].Text == nil {
			f(&d.Columns[i], w)
		}
	}
}

// in prints quantities in another unit, which may be unknown to the program's table
// when a factor and an offset from SI are given: x = si·factor + offset.
func (d *draft) in(unit string, prefixes ...string) {
	d.each(func(c *logfiletest.Column, w *writtenColumn) {
		c.Values = convertColumn(c.Values, w.unit, unit, d.barometer)
		c.Unit = unit
	}, prefixes...)
}

// scaled prints SI values times a factor plus an offset under the unit's text.
func (d *draft) scaled(unit string, factor, offset, step float64, prefixes ...string) {
	d.each(func(c *logfiletest.Column, w *writtenColumn) {
		u := quantity.MustUnit(truthUnitText(w.unit))
		out := make([]float64, len(c.Values))
		for i, x := range c.Values {
			out[i] = roundTo(u.SI(x)*factor+offset, step)
		}
		c.Values, c.Unit = out, unit
	}, prefixes...)
}

// call renames quantities.
func (d *draft) call(names map[string]string) {
	for i := range d.Columns {
		if n, ok := names[d.known[i].quantity]; ok {
			d.Columns[i].Name = n
		}
	}
}

// named renames every column.
func (d *draft) named(f func(name string) string) {
	for i := range d.Columns {
		d.Columns[i].Name = f(d.Columns[i].Name)
	}
}

// keep leaves out the columns that f does not want.
func (d *draft) keep(f func(q string) bool) {
	n := 0
	for i := range d.Columns {
		if f(d.known[i].quantity) {
			d.Columns[n], d.known[n] = d.Columns[i], d.known[i]
			n++
		}
	}
	d.Columns, d.known = d.Columns[:n], d.known[:n]
}

// cut keeps the rows from a to b, s on the log's own clock.
func (d *draft) cut(a, b float64) {
	lo, hi := 0, len(d.Time)
	for lo < hi && d.Time[lo] < a {
		lo++
	}
	for hi > lo && d.Time[hi-1] > b {
		hi--
	}
	d.Time = d.Time[lo:hi]
	for i := range d.Columns {
		d.Columns[i].Values = d.Columns[i].Values[lo:hi]
	}
}

// bytes writes the draft.
func (d *draft) bytes() []byte {
	b := d.text.Encode(d.Sample)
	for _, f := range d.after {
		b = f(b)
	}
	return bytes.Clone(b)
}
