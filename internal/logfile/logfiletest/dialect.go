package logfiletest

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/unicode"
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

func (d Dialect) header(s Sample) (names, units []string) {
	times := map[string][2]string{
		"": {"Time", "s"}, "ms": {"Time", "ms"}, "us": {"Time", "µs"}, "time of day": {"Clock", ""}, "iso": {"Timestamp", ""},
		"american": {"Timestamp", ""}, "unix": {"Time", ""}, "unix ms": {"Time", "ms"}, "spreadsheet": {"Date", ""},
	}
	t := times[d.Clock]
	add := func(name, unit string) {
		switch {
		case d.Units == "row" || d.Units == "above":
			if unit == "" {
				unit = "-"
			}
			if d.Sep == " " {
				name, unit = strings.ReplaceAll(name, " ", "_"), strings.ReplaceAll(unit, " ", "")
			}
			units = append(units, unit)
		case d.Units == "absent" || d.Units == "cells" || unit == "":
			if d.Units == "parentheses" || d.Units == "" {
				break
			}
		}
		if unit != "" && unit != "-" {
			switch d.Units {
			case "":
				name += " [" + unit + "]"
			case "parentheses":
				name += " (" + unit + ")"
			case "slash":
				name += " / " + unit
			case "ending":
				name = strings.ReplaceAll(name, " ", "_") + "_" + strings.NewReplacer("°C", "degC", "%", "pct", "km/h", "kmh", "m/s²", "ms2", "L/min", "lpm").Replace(unit)
			}
		} else if d.Units == "ending" {
			name = strings.ReplaceAll(name, " ", "_")
		}
		names = append(names, name)
	}
	switch d.Clock {
	case "date and time":
		add("Date", "")
		add("Time", "")
	default:
		add(t[0], t[1])
	}
	for _, c := range s.Columns {
		add(c.Name, c.Unit)
	}
	return names, units
}

func (d Dialect) number(text string) string {
	if d.Decimal != "" {
		return strings.ReplaceAll(text, ".", d.Decimal)
	}
	return text
}

// clock writes one time, s.
func (d Dialect) clock(t float64) []string {
	dec := d.Decimals
	if dec == 0 {
		dec = 3
	}
	hms := func() string {
		// In whole units of the print, so that rounding never gives 60 seconds.
		scale := math.Pow(10, float64(dec))
		n := int64(math.Round(math.Mod(t, 86400) * scale))
		if n < 0 {
			n += int64(86400 * scale)
		}
		sec, frac := n/int64(scale), n%int64(scale)
		return fmt.Sprintf("%02d:%02d:%02d.%0*d", sec/3600%24, sec/60%60, sec%60, dec, frac)
	}
	day := int(math.Floor(t / 86400))
	switch d.Clock {
	case "ms":
		return []string{d.number(strconv.FormatFloat(t*1e3, 'f', max(0, dec-3), 64))}
	case "us":
		return []string{strconv.FormatFloat(t*1e6, 'f', 0, 64)}
	case "time of day":
		return []string{hms()}
	case "iso":
		return []string{fmt.Sprintf("2031-05-%02dT%s", 17+day, hms())}
	case "date and time":
		return []string{fmt.Sprintf("%d.5.2031", 17+day), d.number(hms())}
	case "american":
		return []string{fmt.Sprintf("5/%d/2031 %s", 17+day, hms())}
	case "unix":
		return []string{d.number(strconv.FormatFloat(t+Day*86400, 'f', dec, 64))}
	case "unix ms":
		return []string{strconv.FormatFloat((t+Day*86400)*1e3, 'f', 0, 64)}
	case "spreadsheet":
		return []string{d.number(strconv.FormatFloat(t/86400+Day+25569, 'f', 10, 64))}
	}
	return []string{d.number(strconv.FormatFloat(t, 'f', dec, 64))}
}

func (d Dialect) cell(c *Column, row int, last string) string {
	if c.Text != nil {
		return c.Text[row]
	}
	v := c.Values[row]
	switch {
	case v != v && d.Fill == "hold":
		return last
	case v != v:
		return d.Fill
	}
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if d.Exponent {
		text = strconv.FormatFloat(v, 'E', -1, 64)
	}
	text = d.number(text)
	if d.Units == "cells" {
		text += c.Unit
	}
	return text
}

func (d Dialect) encode(text []byte) []byte {
	var e encoding.Encoding
	switch d.Encoding {
	case "bom":
		return append([]byte("\xEF\xBB\xBF"), text...)
	case "latin-1":
		e = charmap.Windows1252
	case "utf-16le":
		e = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case "utf-16be":
		e = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	case "shift-jis":
		e = japanese.ShiftJIS
	case "twice":
		var b bytes.Buffer
		for _, c := range text {
			b.WriteRune(rune(c))
		}
		return b.Bytes()
	default:
		return text
	}
	out, err := encoding.ReplaceUnsupported(e.NewEncoder()).Bytes(text)
	if err != nil {
		return text
	}
	return out
}
