package logfiletest

import (
	"bytes"
	"strconv"
	"strings"
)

// Dialect is one way to write a table as text. The zero value is commas, points,
// units in square brackets, seconds, UTF-8, LF.
type Dialect struct {
	Name     string
	Sep      string // "" means ","
	Decimal  string // "" means "."
	Units    string // "" brackets, "parentheses", "row", "above", "ending", "slash", "cells", "absent"
	Clock    string // "" seconds, "ms", "us", "time of day", "iso", "date and time", "american", "unix", "unix ms", "spreadsheet"
	Encoding string // "" UTF-8, "bom", "latin-1", "utf-16le", "utf-16be", "shift-jis", "twice"
	Meta     string // "" none, "hash", "bang", "pairs", "keys", "section"
	EOL      string // "" LF
	Fill     string // "" blank, "hold", or the word for a blank cell
	Quotes   bool   // every cell
	Trailing bool   // a separator at each line's end
	Numbered bool   // a row number without a name in front of each row
	Padding  bool   // blanks around cells
	Cut      bool   // the last line is cut short
	Exponent bool   // 1.23000E+01
	Foot     string // lines below the table
	Decimals int    // of the clock; 0 means 3
}

// Dialects are at least one of each way that the readers must know.
var Dialects = []Dialect{
	{Name: "plain"},
	{Name: "german spreadsheet", Sep: ";", Decimal: ",", Units: "row", Encoding: "latin-1", Meta: "bang", EOL: "\r\n", Clock: "ms"},
	{Name: "tabs, held", Sep: "\t", Units: "row", Fill: "hold"},
	{Name: "quoted, with mark", Units: "parentheses", Quotes: true, Encoding: "bom", Meta: "pairs", Clock: "time of day"},
	{Name: "endings, iso", Units: "ending", Clock: "iso", Meta: "hash"},
	{Name: "utf-16", Sep: "\t", Units: "parentheses", Encoding: "utf-16le", EOL: "\r\n", Clock: "date and time"},
	{Name: "utf-16 big", Sep: ";", Decimal: ",", Encoding: "utf-16be"},
	{Name: "bars, american dates", Sep: "|", Units: "slash", Clock: "american", Meta: "keys", EOL: "\r\n"},
	{Name: "NA, trailing comma", Fill: "NA", Trailing: true, Clock: "us"},
	{Name: "quoted decimal commas", Decimal: ",", Quotes: true, Units: "parentheses"},
	{Name: "padded, unix milliseconds", Padding: true, Clock: "unix ms", Units: "row", Meta: "section"},
	{Name: "numbered, cut", Numbered: true, Cut: true, Units: "absent"},
	{Name: "units above, encoded twice", Sep: ";", Units: "above", Encoding: "twice", Clock: "spreadsheet"},
	{Name: "exponents, old line ends", Sep: "\t", Exponent: true, EOL: "\r", Clock: "unix"},
	{Name: "units in cells", Sep: ";", Units: "cells", Fill: "-"},
	{Name: "blanks between", Sep: " ", Units: "row", Fill: "nan"},
}

// Day is the day on which dated clocks begin, in 2031-05-17 as days since 1970.
const Day = 22416

// Encode writes a sample.
func (d Dialect) Encode(s Sample) []byte {
	sep, eol := d.Sep, d.EOL
	if sep == "" {
		sep = ","
	}
	if eol == "" {
		eol = "\n"
	}
	var b bytes.Buffer
	line := func(cells []string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteString(sep)
			}
			if d.Padding && i > 0 {
				b.WriteByte(' ')
			}
			if d.Quotes {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			b.WriteString(c)
		}
		if d.Trailing && len(cells) > 2 {
			b.WriteString(sep)
		}
		b.WriteString(eol)
	}
	meta := [][2]string{{"vehicle", "Plover"}, {"recorded", "2031-05-17"}, {"note", "made for a test"}}
	for _, m := range meta {
		switch d.Meta {
		case "hash":
			b.WriteString("# " + m[0] + ": " + m[1] + eol)
		case "bang":
			b.WriteString("! " + m[0] + " = " + m[1] + eol)
		case "pairs":
			b.WriteString(`"` + m[0] + `"` + sep + `"` + m[1] + `"` + eol)
		case "keys":
			b.WriteString(m[0] + ": " + m[1] + eol)
		case "section":
			b.WriteString("[" + m[0] + "]" + eol + m[1] + eol)
		}
	}
	if d.Meta == "pairs" || d.Meta == "section" {
		b.WriteString(eol)
	}
	names, units := d.header(s)
	if d.Units == "above" {
		line(units)
	}
	line(names)
	if d.Units == "row" {
		line(units)
	}
	last := make([]string, len(s.Columns))
	for row := range s.Time {
		var cells []string
		if d.Numbered {
			cells = append(cells, strconv.Itoa(row+1))
		}
		cells = append(cells, d.clock(s.Time[row])...)
		for k := range s.Columns {
			text := d.cell(&s.Columns[k], row, last[k])
			last[k] = text
			cells = append(cells, text)
		}
		line(cells)
	}
	b.WriteString(d.Foot)
	out := b.Bytes()
	if d.Cut {
		at := bytes.LastIndexByte(out[:len(out)-1], '\n')
		out = out[:at+1+(len(out)-at)/3]
	}
	return d.encode(out)
}
