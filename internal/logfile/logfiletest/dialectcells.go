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

func (d Dialect) header(s Sample) (names, units []string) {
	times := map[string][2]string{
		"": {"Time", "s"}, "ms": {"Time", "ms"}, "us": {"Time", "µs"}, "time of day": {"Clock", ""}, "iso": {"Timestamp", ""},
		"american": {"Timestamp", ""}, "unix": {"Time", ""}, "unix ms": {"Time", "ms"}, "spreadsheet": {"Date", ""},
	}
	t := times[d.Clock]
	add := func(name, unit string) {
		if d.Units == "row" || d.Units == "above" {
			if unit == "" {
				unit = "-"
			}
			if d.Sep == " " {
				name, unit = strings.ReplaceAll(name, " ", "_"), strings.ReplaceAll(unit, " ", "")
			}
			units = append(units, unit)
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
