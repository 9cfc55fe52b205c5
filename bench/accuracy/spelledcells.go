package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// spelledCells are words and numbers for blanks, and lines that are no rows.
var spelledCells = func() []spelling {
	var out []spelling
	for _, w := range []string{"NaN", "nan", "NULL", "N/A", "#N/A", "ERR", "ERROR", "--", "---", "-", ".", "*", "?", "no data", "off", "1.#QNAN", "inf", "#VALUE!", "(null)", "invalid", "x", "nil", "None", "-nan(ind)", "ovf", "!"} {
		out = append(out, spelling{name: "blank: " + w, change: func(d *draft) { d.text.Fill = w }})
	}
	for _, w := range []string{"-9999", "9999", "-999.25", "-1", "0", "32767", "65535", "1e30", "-32768", "999.9", "-99", "-1E+300"} {
		out = append(out, spelling{name: "blank: " + w, wish: "within", change: func(d *draft) { d.text.Fill = w }})
	}
	out = append(out, spelledLines...)
	return out
}()

var spelledLines = []spelling{
	{name: "blank: held", wish: "within", change: func(d *draft) { d.text.Fill = "hold" }},
	{name: "blank: drawn lines", wish: "within", change: func(d *draft) {
		for i := range d.Columns {
			drawLines(d.Columns[i].Values)
		}
	}},
	{name: "blank: quoted", change: func(d *draft) { d.text.Quotes = true }},
	{name: "dropouts as ERR in one channel", wish: "within", change: func(d *draft) {
		d.lines(func(l []string) []string {
			for i := 1; i < len(l); i++ {
				c := strings.Split(l[i], ",")
				if i%50 < 3 && len(c) > 3 {
					c[2] = "ERR"
				}
				l[i] = strings.Join(c, ",")
			}
			return l
		})
	}},
	{name: "lines: # comments among the rows", change: func(d *draft) { d.every(400, "# marker") }},
	{name: "lines: // comments among the rows", change: func(d *draft) { d.every(400, "// lap trigger, see note 3") }},
	{name: "lines: event marks among the rows", change: func(d *draft) { d.every(700, "EVENT,launch armed,,") }},
	{name: "lines: names again among the rows", change: func(d *draft) {
		d.lines(func(l []string) []string {
			head := l[0]
			var out []string
			for i, x := range l {
				if i > 0 && i%800 == 0 {
					out = append(out, "", head)
				}
				out = append(out, x)
			}
			return out
		})
	}},
	{name: "lines: page heads among the rows", change: func(d *draft) {
		d.lines(func(l []string) []string {
			head := l[0]
			var out []string
			for i, x := range l {
				if i > 0 && i%600 == 0 {
					out = append(out, "", fmt.Sprintf("Page %d", i/600+1), head)
				}
				out = append(out, x)
			}
			return out
		})
	}},
	{name: "lines: summary below", change: func(d *draft) {
		d.text.Foot = "\nSummary\nRows,5000\nMax engine speed,7733\n"
	}},
	{name: "lines: extremes and mean below", change: func(d *draft) {
		d.lines(func(l []string) []string {
			n := strings.Count(l[0], ",")
			return append(l, "Min"+strings.Repeat(",0.1", n), "Max"+strings.Repeat(",99.5", n), "Mean"+strings.Repeat(",12.25", n))
		})
	}},
	{name: "lines: extremes above", change: func(d *draft) {
		d.lines(func(l []string) []string {
			n := strings.Count(l[0], ",")
			return append([]string{l[0], strings.TrimPrefix(strings.Repeat(",0", n+1), ","), strings.TrimPrefix(strings.Repeat(",9000", n+1), ",")}, l[1:]...)
		})
	}},
	{name: "lines: title and notes above", change: func(d *draft) {
		d.lines(func(l []string) []string {
			return append([]string{"Session 4; run 2, warm", "Driver's note: spun, lifted, went on", "Weather,31.5,C,1008.2,hPa", "Samples,4321", ""}, l...)
		})
	}},
	{name: "lines: rates below the names", change: func(d *draft) {
		d.text.Units = "row"
		d.lines(func(l []string) []string {
			n := strings.Count(l[0], ",")
			return append([]string{l[0], l[1], strings.TrimPrefix(strings.Repeat(",100", n+1), ",")}, l[2:]...)
		})
	}},
	{name: "lines: group names above the names", change: func(d *draft) {
		d.lines(func(l []string) []string {
			n := strings.Count(l[0], ",")
			return append([]string{"Engine" + strings.Repeat(",", n/2) + "Chassis" + strings.Repeat(",", n-n/2)}, l...)
		})
	}},
	{name: "cells: more than names", change: func(d *draft) { d.rows(func(i int, r string) string { return r + ",," }) }},
	{name: "cells: a column without name", change: func(d *draft) {
		d.lines(func(l []string) []string {
			l[0] += ","
			for i := 1; i < len(l); i++ {
				l[i] += "," + strconv.Itoa(i%7)
			}
			return l
		})
	}},
	{name: "cells: blank ends left out", wish: "within", change: func(d *draft) { d.rows(func(_ int, r string) string { return strings.TrimRight(r, ",") }) }},
	{name: "cells: more from mid-file", change: func(d *draft) {
		d.rows(func(i int, r string) string {
			if i > 1500 {
				return r + ",7,8"
			}
			return r
		})
	}},
	{name: "cells: row damaged", wish: "within", change: func(d *draft) {
		d.rows(func(i int, r string) string {
			if i == 1700 {
				return r[:len(r)/3]
			}
			return r
		})
	}},
	{name: "cells: rows glued", wish: "within", change: func(d *draft) {
		d.lines(func(l []string) []string {
			l[1700] += l[1701]
			return append(l[:1701], l[1702:]...)
		})
	}},
	{name: "cells: no names", wish: "less", change: func(d *draft) { d.lines(func(l []string) []string { return l[1:] }) }},
	{name: "column of words", change: func(d *draft) {
		d.lines(func(l []string) []string {
			l[0] += ",Event"
			for i := 1; i < len(l); i++ {
				l[i] += ","
				if i%500 == 0 {
					l[i] += "mark " + strconv.Itoa(i/500)
				}
			}
			return l
		})
	}},
	{name: "one reading a line", wish: "within", change: func(d *draft) { d.oneReading() }},
	{name: "columns: all twice", change: func(d *draft) {
		d.Columns, d.known = append(d.Columns, d.Columns...), append(d.known, d.known...)
	}},
	{name: "columns: reversed", change: func(d *draft) {
		for i, j := 0, len(d.Columns)-1; i < j; i, j = i+1, j-1 {
			d.Columns[i], d.Columns[j] = d.Columns[j], d.Columns[i]
			d.known[i], d.known[j] = d.known[j], d.known[i]
		}
	}},
	{name: "columns: numbered rows in front", change: func(d *draft) { d.text.Numbered = true }},
	{name: "columns: time last", change: func(d *draft) {
		d.lines(func(l []string) []string {
			for i := range l {
				a, b, _ := strings.Cut(l[i], ",")
				l[i] = b + "," + a
			}
			return l
		})
	}},
}

// every puts a line behind every n-th row.
func (d *draft) every(n int, line string) {
	d.rows(func(i int, r string) string {
		if i%n == n-1 {
			return r + "\n" + line
		}
		return r
	})
}

// oneReading writes time, channel, value, unit in each line.
func (d *draft) oneReading() {
	d.after = append(d.after, func([]byte) []byte {
		var b strings.Builder
		b.WriteString("Time [s],Channel,Value,Unit\n")
		for row, t := range d.Time {
			for i := range d.Columns {
				c := &d.Columns[i]
				if x := c.Values[row]; !math.IsNaN(x) {
					fmt.Fprintf(&b, "%.3f,%s,%v,%s\n", t, c.Name, x, c.Unit)
				}
			}
		}
		return []byte(b.String())
	})
}

// drawLines fills the gaps between readings with straight lines.
func drawLines(v []float64) {
	last := -1
	for i, x := range v {
		if math.IsNaN(x) {
			continue
		}
		if last >= 0 {
			for k := last + 1; k < i; k++ {
				v[k] = roundTo(v[last]+(x-v[last])*float64(k-last)/float64(i-last), 1e-6)
			}
		}
		last = i
	}
}
