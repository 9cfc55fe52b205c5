package csv

import (
	"bytes"
	"fmt"
	"strings"

	"traplight/internal/logfile/table"
)

// startsRow marks the bytes with which a row of samples may begin.
var startsRow = func() (t [256]bool) {
	for _, c := range "0123456789+-." {
		t[c] = true
	}
	return t
}()

// block reads complete lines; b ends with a line end. It returns how much of b
// was used, which is less than all only when a quoted cell goes on beyond b and
// more bytes may follow (final is false).
func (r *reader) block(b []byte, final bool) (used int, err error) {
	sep, eol := r.d.sep, r.d.eol
	mark := r.d.mark
	if mark == sep {
		mark = 0xFF // decimal commas in comma-separated files stand in quotes
	}
	slow := sep == ' ' || len(r.d.words) > 0 && r.d.words[0]
	place, dst := r.place, r.targets()
	for i := 0; i < len(b); {
		lineStart := i
		r.line++
		if c := b[i]; r.expectHeader || slow || !startsRow[c] {
			end := i + bytes.IndexByte(b[i:], eol)
			isRow, skip := r.oddLine(b[i:end], b[end+1:], final)
			place, dst = r.place, r.targets()
			if skip < 0 { // a quoted cell goes on beyond b
				r.line--
				return lineStart, nil
			}
			if !isRow {
				i = end + 1 + skip
				continue
			}
			if sep == ' ' {
				if err := r.loose(b[i:end]); err != nil {
					return i, err
				}
				i = end + 1
				continue
			}
		}
		if r.row == r.room {
			if err := r.grow(); err != nil {
				return i, err
			}
			dst = r.targets()
		}
		if r.newPart || len(r.parts) == 0 {
			r.parts = append(r.parts, table.Part{Row: r.row, Line: r.line})
			r.newPart = false
		}
		row, cell := r.row, 0
		for {
			var ended bool
			i, cell, ended = plainCells(b, i, cell, row, dst, sep, eol, mark)
			if ended {
				break
			}
			// A cell that is not a plain short number.
			end := cellEnd(b, i, sep, eol)
			if end < 0 {
				if !final && len(b)-lineStart < maxLine/2 {
					r.line--
					return lineStart, nil
				}
				end = i + bareEnd(b[i:], sep, eol) // an open quote means nothing
			}
			v := nan
			if cell < len(place) {
				v = r.slowCell(b[i:end], place[cell])
				dst[cell][row] = v
			} else if len(trimCell(b[i:end])) > 0 {
				r.book.Add("more cells than names; those beyond the last name were dropped", r.line)
			}
			r.line += bytes.Count(b[i:end], []byte{eol})
			cell++
			i = end + 1
			if b[end] == sep {
				continue
			}
			if b[end] != eol { // the first half of a CR LF
				i++
			}
			break
		}
		if cell < len(place) {
			if cell+1 < len(place) || cell == 1 {
				r.book.Add("fewer cells than names; the missing ones count as blank", r.line)
			}
			for ; cell < len(place); cell++ {
				dst[cell][row] = nan
			}
		}
		if len(place) < len(r.vals) {
			r.blankOthers(row)
		}
		r.row++
	}
	return len(b), nil
}

// targets are the columns in the order of a row's cells.
func (r *reader) targets() [][]float64 {
	if len(r.dst) != len(r.place) {
		r.dst = make([][]float64, len(r.place))
	}
	for k, p := range r.place {
		r.dst[k] = r.vals[p]
	}
	return r.dst
}

// plainCells is the reader's inner loop: it takes cells that are blank or plain
// short numbers, quoted or not, from i on, until the line ends (ended) or a cell
// is something else. b ends with a line end, so looking one byte ahead is safe.
func plainCells(b []byte, i, cell, row int, dst [][]float64, sep, eol, mark byte) (next, nextCell int, ended bool) {
	for {
		from := i
		c := b[i]
		quoted := c == '"'
		if quoted {
			i++
			c = b[i]
		}
		neg := c == '-'
		if neg {
			i++
			c = b[i]
		}
		v := nan
		if d := uint64(c - '0'); d < 10 {
			mant := d
			first := i
			i++
			c = b[i]
			for d = uint64(c - '0'); d < 10; d = uint64(c - '0') {
				mant = mant*10 + d
				i++
				c = b[i]
			}
			digits, scale := i-first, 0
			if c == mark {
				i++
				first = i
				c = b[i]
				for d = uint64(c - '0'); d < 10; d = uint64(c - '0') {
					mant = mant*10 + d
					i++
					c = b[i]
				}
				scale = i - first
				digits += scale
			}
			if digits > 18 || mant >= 1<<53 {
				return from, cell, false
			}
			v = float64(mant)
			if scale > 0 {
				v /= pow10[scale]
			}
			if neg {
				v = -v
			}
		} else if neg {
			return from, cell, false
		}
		if quoted {
			if c != '"' {
				return from, cell, false
			}
			i++
			c = b[i]
		}
		switch {
		case c == sep:
			if cell >= len(dst) {
				if v == v {
					return from, cell, false
				}
			} else {
				dst[cell][row] = v
			}
			cell++
			i++
		case c == eol || c == '\r' && b[i+1] == eol:
			if cell >= len(dst) {
				if v == v {
					return from, cell, false
				}
			} else {
				dst[cell][row] = v
			}
			if c != eol {
				i++
			}
			return i + 1, cell + 1, true
		default:
			return from, cell, false
		}
	}
}

// blankOthers blanks the columns that the header in force does not name.
func (r *reader) blankOthers(row int) {
	named := make([]bool, len(r.vals))
	for _, p := range r.place {
		named[p] = true
	}
	for k := range r.vals {
		if !named[k] {
			r.vals[k][row] = nan
		}
	}
}

// cellEnd is where the cell that begins at from ends: at a separator or line end
// outside quotes; -1 when a quote is not closed in b.
func cellEnd(b []byte, from int, sep, eol byte) int {
	i := from
	for b[i] == ' ' {
		i++
	}
	if b[i] == '"' {
		for i++; ; i++ {
			q := bytes.IndexByte(b[i:], '"')
			if q < 0 {
				return -1
			}
			i += q
			if i+1 < len(b) && b[i+1] == '"' {
				i++
				continue
			}
			break
		}
	}
	return i + bareEnd(b[i:], sep, eol)
}

func bareEnd(b []byte, sep, eol byte) int {
	for i, c := range b {
		if c == sep || c == eol || c == '\r' && i+1 < len(b) && b[i+1] == eol {
			return i
		}
	}
	return len(b) - 1
}

// slowCell understands a cell that is not a plain short number.
func (r *reader) slowCell(cell []byte, col int) float64 {
	c := &r.cols[col]
	if c.isClock {
		if t, ok := parseClock(cell, r.d.mark, r.d.order); ok {
			return r.clockValue(c, t)
		}
	}
	kind, v, t, text := parseCell(cell, &r.d)
	switch kind {
	case blank:
	case plain:
	case withUnit:
		if c.tails == 0 {
			c.tail = r.cs.decode(text)
		}
		if string(text) == c.tail || r.cs.decode(text) == c.tail {
			c.tails++
		} else {
			c.otherTails++
			if c.otherTails == 1 {
				r.book.Add(fmt.Sprintf("column %q mixes units in its cells (%s, %s); the rarer ones count as blank", c.name, c.tail, r.cs.decode(text)), r.line)
			}
			return nan
		}
	case clock:
		return r.clockValue(c, t)
	case word:
		r.keepWord(c, text)
	}
	return v
}

func (r *reader) clockValue(c *column, t civil) float64 {
	c.isClock = true
	c.clocks[t.kind]++
	if t.short {
		c.short++
	}
	if t.zone != "" && r.zone == "" {
		r.zone = t.zone
	}
	if t.kind == table.TimeOfDay {
		return t.second
	}
	if !c.dayKnown {
		c.day, c.dayKnown = t.day, true
	}
	return float64(t.day-c.day)*86400 + t.second
}

func (r *reader) keepWord(c *column, text []byte) {
	if c.overflow {
		return
	}
	k, ok := c.kinds[string(text)]
	if !ok {
		if len(c.texts) >= maxWordKinds || len(text) > 1024 {
			c.overflow, c.words, c.texts, c.kinds = true, nil, nil, nil
			return
		}
		if c.kinds == nil {
			c.kinds = map[string]int32{}
		}
		k = int32(len(c.texts))
		c.texts = append(c.texts, r.decode(text))
		c.kinds[string(text)] = k
	}
	c.words = append(c.words, wordCell{r.row, k})
}

// loose reads a row whose cells are parted by runs of blanks.
func (r *reader) loose(line []byte) error {
	if r.row == r.room {
		if err := r.grow(); err != nil {
			return err
		}
	}
	if r.newPart || len(r.parts) == 0 {
		r.parts = append(r.parts, table.Part{Row: r.row, Line: r.line})
		r.newPart = false
	}
	for k := range r.vals {
		r.vals[k][r.row] = nan
	}
	cells := bytes.Fields(line)
	for k, c := range cells {
		if k < len(r.place) {
			r.vals[r.place[k]][r.row] = r.slowCell(c, r.place[k])
		}
	}
	if len(cells) != len(r.place) {
		r.book.Add("another number of cells than names", r.line)
	}
	r.row++
	return nil
}

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
	case !comment && numeric > 0 && 5*numeric >= 2*filled && 2*len(cells) >= r.d.fields:
		r.expectHeader = false
		return true, 0
	case 5*same >= 3*max(filled, 1) && same > 1:
		r.repeatedHeader(texts)
		return false, 0
	case r.expectHeader && r.h.row && numeric == 0 && len(cells) >= r.d.fields-1:
		r.expectHeader = false // units
		return false, 0
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

// repeatedHeader begins a new part under the same names.
func (r *reader) repeatedHeader(texts []string) {
	r.expectHeader = true
	if r.row > 0 {
		r.newPart = true
		r.book.Add("the header begins anew; what follows is taken for another recording on the same clock", r.line)
	}
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
