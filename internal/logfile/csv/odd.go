package csv

import (
	"bytes"
	"slices"
	"strings"
)

// oddLine looks at a line that does not begin like a row of samples. It may be a
// row all the same, a repeated header, units below one, or metadata. skip is how
// many bytes behind the line were used up too, -1 when more bytes are needed.
func (r *reader) oddLine(line, rest []byte, final bool) (isRow bool, skip int) {
	line = bytes.TrimSuffix(line, []byte{'\r'})
	trimmed := bytes.TrimSpace(line)
	if len(trimmed) == 0 {
		return false, 0
	}
	if bytes.Count(line, []byte{'"'})%2 == 1 {
		// Text over several lines; as far as it matters here the rest of it is
		// odd lines too.
		if q := bytes.IndexByte(rest, '"'); q < 0 && !final && len(line) < maxLine/2 {
			return false, -1
		}
	}
	cells := splitCells(line, r.d.sep)
	filled, numeric, same := 0, 0, 0
	texts := make([]string, len(cells))
	for k, c := range cells {
		switch kind, _, _, _ := parseCell(c, &r.d); kind {
		case blank:
		case word:
			filled++
		default:
			filled++
			numeric++
		}
		texts[k] = r.decode(c)
		if k < len(r.h.raw) && texts[k] == r.h.raw[k] && texts[k] != "" {
			same++
		}
	}
	comment := isOneOf(trimmed[0], '#', '!', '%') || bytes.HasPrefix(trimmed, []byte("//"))
	switch {
	case r.besideNames(texts, filled):
		return false, 0
	case !comment && numeric > 0 && 5*numeric >= 2*filled && 2*len(cells) >= r.d.fields:
		r.expectHeader = false
		return true, 0
	case 5*same >= 3*max(filled, 1) && same > 1:
		r.repeatedHeader()
		return false, 0
	case r.expectHeader && numeric == 0 && len(cells) >= r.d.fields-1:
		return false, 0 // units, or where each comes from
	case !comment && numeric == 0 && filled >= 3 && 2*filled > r.d.fields && r.rowsFollow(rest, len(cells)):
		r.otherHeader(texts)
		return false, 0
	case numeric == 0 && filled == 0:
		// Separators only: a row without a single reading.
		return false, 0
	}
	r.metadata(line)
	if !comment || r.row > 0 {
		r.book.Add("not a row of samples; kept as a remark", r.line)
	}
	return false, 0
}

// besideNames says whether a line is one that stood beside the names at the top, word for
// word: groups, units, where each channel comes from, rates.
func (r *reader) besideNames(texts []string, filled int) bool {
	if filled < 2 || len(texts) < r.d.fields-1 {
		return false
	}
	for _, l := range r.h.all {
		if slices.Equal(l, texts) && !slices.Equal(l, r.h.raw) {
			return true
		}
	}
	return false
}

// repeatedHeader begins a new part under the same names.
func (r *reader) repeatedHeader() {
	r.expectHeader = true
	if r.row > 0 && r.numbersColumns() {
		r.row-- // the columns' numbers above the names
	}
	if r.row > 0 {
		r.newPart = true
		r.book.Add("the header begins anew; what follows is taken for another recording on the same clock", r.line)
	}
}

// numbersColumns says whether the last row is no row but the line of numbers that stood above
// the names at the top too.
func (r *reader) numbersColumns() bool {
	for _, l := range r.h.all {
		if len(l) != len(r.place) {
			continue
		}
		same := true
		for k, s := range l {
			x, ok := number([]byte(s), r.d.mark)
			if same = same && (ok && r.vals[r.place[k]][r.row-1] == x); !same {
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}

// rowsFollow says whether the next line but one at most is a row of that width.
func (r *reader) rowsFollow(rest []byte, width int) bool {
	for range 2 {
		end := bytes.IndexByte(rest, r.d.eol)
		if end < 0 {
			return false
		}
		cells := splitCells(bytes.TrimSuffix(rest[:end], []byte{'\r'}), r.d.sep)
		if len(cells) >= width-1 && len(cells) <= width+1 {
			if k, _, _, _ := parseCell(cells[0], &r.d); k == plain || k == clock {
				return true
			}
		}
		rest = rest[end+1:]
	}
	return false
}

// otherHeader begins a new part under other names: columns of a known name go
// on, new ones are added.
func (r *reader) otherHeader(texts []string) {
	names, units := splitUnits(texts)
	for len(names) > 0 && names[len(names)-1] == "" {
		names = names[:len(names)-1]
	}
	if len(r.cols)+len(names) > maxColumns {
		return
	}
	r.place = make([]int, len(names))
	used := map[int]bool{}
	for k, n := range names {
		at := -1
		for c := range r.cols {
			if !used[c] && strings.EqualFold(r.cols[c].name, n) && (r.cols[c].unit == units[k] || units[k] == "") {
				at = c
				break
			}
		}
		if at < 0 {
			at = len(r.cols)
			r.cols = append(r.cols, column{name: n, unit: units[k]})
			blanks := make([]float64, r.room)
			for i := range blanks[:r.row] {
				blanks[i] = nan
			}
			r.vals = append(r.vals, blanks)
		}
		used[at] = true
		r.place[k] = at
	}
	r.d.fields = len(names)
	r.h.raw = texts
	r.newPart = r.row > 0
	r.expectHeader = true
	r.book.Add("a header with other names; what follows is taken for another recording", r.line)
}
