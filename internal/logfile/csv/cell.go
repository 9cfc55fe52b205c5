package csv

import (
	"bytes"
	"math"

	"traplight/internal/quantity"
)

// sort is what a cell turned out to be.
type sort int

const (
	blank    sort = iota
	plain         // a number
	withUnit      // a number with a unit behind it
	clock         // a time or date
	word          // anything else
)

// missing holds the words by which programs write "no value".
var missing = map[string]bool{
	"na": true, "n/a": true, "#n/a": true, "nan": true, "-nan": true, "null": true, "none": true, "nil": true, "-": true, "--": true, "---": true, "----": true,
	"?": true, "*": true, "#div/0!": true, "#value!": true, "#ref!": true, "#num!": true, "inf": true, "-inf": true, "+inf": true, "infinity": true, "-infinity": true,
	"1.#ind": true, "-1.#ind": true, "1.#qnan": true, "-1.#qnan": true, "1.#inf": true, ".": true, "n.a.": true, "n.d.": true, "nd": true, "k.a.": true, "void": true, "missing": true, "nodata": true, "no data": true, "(null)": true,
	"err": true, "error": true, "invalid": true, "ovf": true, "overflow": true, "nan(ind)": true, "-nan(ind)": true, `=""`: true,
}

// parseCell understands a cell outside the fast path. unit is the text behind
// the number in a cell with a unit; words come back trimmed and unquoted.
func parseCell(b []byte, d *dialect) (kind sort, v float64, c civil, text []byte) {
	b = trimCell(b)
	if len(b) == 0 {
		return blank, math.NaN(), c, nil
	}
	if v, ok := number(b, d.mark); ok {
		return plain, v, c, nil
	}
	if len(b) <= 12 && missing[string(bytes.ToLower(b))] || d.blanks[string(b)] {
		return blank, math.NaN(), c, nil
	}
	if s := respelt(b); s != nil {
		b = s
		if v, ok := number(b, d.mark); ok {
			return plain, v, c, nil
		}
	}
	if bytes.IndexByte(b, d.mark) > 0 { // "1.001,9" is no date
		if v, ok := grouped(b, d.mark); ok {
			return plain, v, c, nil
		}
	}
	if b[0]-'0' < 10 {
		if c, ok := parseClock(b, d.order); ok {
			return clock, c.second, c, nil
		}
	}
	// A number with thousands marks, with the other decimal mark, or before a
	// unit.
	n := 0
	for n < len(b) && (b[n]-'0' < 10 || isOneOf(b[n], '.', ',', '-', '+', '\'') || isExponent(b[n]) && n > 0 && b[n-1]-'0' < 10 && n+1 < len(b) && (b[n+1]-'0' < 10 || isOneOf(b[n+1], '+', '-'))) {
		n++
	}
	for n > 0 && !isOneOf(b[n-1], '.') && b[n-1]-'0' >= 10 {
		n--
	}
	if n > 0 {
		v, ok := number(b[:n], d.mark)
		if !ok {
			v, ok = grouped(b[:n], d.mark)
		}
		if ok {
			tail := bytes.TrimSpace(bytes.Trim(b[n:], " \u00a0"))
			if len(tail) == 0 {
				return plain, v, c, nil
			}
			if isUnitTail(tail) {
				return withUnit, v, c, tail
			}
		}
	}
	return word, math.NaN(), c, b
}

// grouped understands 1.234,5 and 1'234.5, and a number that uses the other
// decimal mark than the rest of the file.
func grouped(b []byte, mark byte) (v float64, ok bool) {
	other := byte(',')
	if mark == ',' {
		other = '.'
	}
	var plain []byte
	group, groups := 0, 0
	sawMark := false
	for i, c := range b {
		switch {
		case c-'0' < 10:
			group++
			plain = append(plain, c)
		case c == other || c == '\'':
			if sawMark || groups == 0 && (group == 0 || group > 3) || groups > 0 && group != 3 {
				return 0, false
			}
			groups, group = groups+1, 0
		case c == mark:
			if sawMark || groups > 0 && group != 3 {
				return 0, false
			}
			sawMark = true
			plain = append(plain, c)
		case (c == '-' || c == '+') && i == 0:
			plain = append(plain, c)
		default:
			return 0, false
		}
	}
	if groups == 0 || !sawMark && group != 3 {
		return 0, false
	}
	// Without the file's own mark two groups say nothing of where the mark was
	// lost: "-58.321.307" may be any power of ten.
	if !sawMark && groups != 1 {
		return 0, false
	}
	return number(plain, mark)
}

// isUnitTail says whether text behind a number can be a unit: short, and without
// digits, which would make it a code, unless it is a unit that is known.
func isUnitTail(b []byte) bool {
	if len(b) > 10 {
		return false
	}
	for _, c := range b {
		if isOneOf(c, ',', ';', '"', '|') { // more cells
			return false
		}
		if c-'0' < 10 || c == ':' {
			_, known := quantity.ParseUnit(string(b))
			return known
		}
	}
	return true
}

// trimCell takes blanks and one pair of quotes off a cell.
func trimCell(b []byte) []byte {
	b = bytes.Trim(b, " \t\r\u00a0")
	if n := len(b); n >= 2 && (b[0] == '"' && b[n-1] == '"' || b[0] == '\'' && b[n-1] == '\'') {
		b = b[1 : n-1]
		if bytes.Contains(b, []byte(`""`)) {
			b = bytes.ReplaceAll(b, []byte(`""`), []byte(`"`))
		}
		b = bytes.TrimSpace(b)
	}
	return b
}
