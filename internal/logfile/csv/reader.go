// Package csv reads tables of text however they come: any usual separator,
// decimal point or comma, names and units in any usual place, metadata, repeated
// headers, words among numbers, units inside cells, times and dates, UTF-8,
// UTF-16 and 8-bit codes. It makes one pass over the bytes, keeps only the
// columns in memory, and tells by line what it dropped or assumed.
//
// Numbers are those of strconv, bit for bit (see number.go).
package csv

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"traplight/internal/logfile/table"
)

// Limits of a text that is still taken for a table.
const (
	chunkSize  = 512 << 10 // bytes read at a time
	maxLine    = 8 << 20   // bytes in one line
	maxColumns = 20000
	// A table of short lines under a wide header would need far more memory
	// than the text; beyond this many bytes of columns for a byte of text it is
	// refused.
	maxSpread    = 64
	spreadGrace  = 32 << 20 // bytes of columns that are always allowed
	maxWordKinds = 4096     // different words kept for a column
)

// Read reads a text table. size is the length of the text in bytes if it is
// known, else 0; it serves to reserve memory.
func Read(name string, src io.Reader, size int64) (*table.Table, error) {
	fail := func(err error, line int, reason, hint string) error {
		return &table.Error{File: name, Line: line, Err: err, Reason: reason, Hint: hint}
	}
	headRoom := headSize
	if size > 0 && size < headSize {
		headRoom = int(size) + 1
	}
	head := make([]byte, headRoom)
	n, err := io.ReadFull(src, head)
	head = head[:n]
	var broken error // the source broke off
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		if n == 0 {
			return nil, &table.Error{File: name, Err: err}
		}
		broken = err
	}
	if n == 0 {
		return nil, fail(table.ErrEmpty, 0, "", "")
	}
	whole := n < headRoom
	var all io.Reader = bytes.NewReader(head)
	if !whole {
		all = io.MultiReader(all, src)
	}
	text, code := plainText(head, all)
	var book table.Book
	if code != "" {
		book.Add("text is "+code, 0)
		size /= 2
		head = make([]byte, headSize/2)
		n, err = io.ReadFull(text, head)
		head = head[:n]
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			return nil, &table.Error{File: name, Err: err}
		}
		whole = n < headSize/2
		src = text
	}
	head = bytes.TrimPrefix(head, []byte("\xEF\xBB\xBF"))
	if whole {
		head = bytes.TrimRight(head, "\x00") // room that a logger reserved and never filled
	}
	if len(bytes.TrimSpace(head)) == 0 && whole {
		return nil, fail(table.ErrEmpty, 0, "", "")
	}
	if looksBinary(head) {
		return nil, fail(table.ErrBinary, 0, "", "")
	}
	r := &reader{name: name, book: &book, meta: map[string]string{}, cs: guessCharset(head)}
	if r.cs.enc != nil {
		book.Add("text is not UTF-8 and is taken for "+r.cs.name, 0)
	}
	eol := byte('\n')
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		eol = '\r'
	}
	lines := splitLines(head, eol, whole)
	d, ok := sniff(lines, eol)
	if !ok {
		if broken != nil {
			return nil, &table.Error{File: name, Err: broken}
		}
		return nil, r.noTable(lines, fail)
	}
	if broken != nil {
		book.Add("the file breaks off: "+broken.Error(), 0)
	}
	r.d = d
	if d.fields > maxColumns {
		return nil, fail(table.ErrForeign, lines[d.first].number, fmt.Sprintf("%d columns", d.fields), "")
	}
	r.top(lines)
	start := lines[d.first].offset
	r.line = lines[d.first].number - 1
	perLine := float64(len(head)-start) / float64(max(1, bytes.Count(head[start:], []byte{eol})))
	r.reserve(float64(size), perLine)
	if err := r.body(head[start:], src, whole); err != nil {
		return nil, err
	}
	return r.finish()
}

// looksBinary says whether the first bytes cannot be text.
func looksBinary(head []byte) bool {
	odd := 0
	for _, c := range head {
		if c < 0x20 && !isOneOf(c, '\t', '\n', '\r', '\f', 0x1a, 0x1b, 0x0b) || c == 0x7f {
			odd++
		}
	}
	return odd*50 > len(head) || bytes.IndexByte(head, 0) >= 0 && odd*200 > len(head)
}

// reader is the state of one reading.
type reader struct {
	name string
	d    dialect
	cs   charset
	h    header
	book *table.Book
	meta map[string]string

	cols  []column
	vals  [][]float64 // per column; all of length room
	place []int       // cell of a row → column, for the header in force
	dst   [][]float64 // the columns in the order of place
	row   int
	room  int
	line  int // number of the line being read
	bytes int64
	parts []table.Part
	// expectHeader: a repeated header was just read, a line of units may follow.
	expectHeader bool
	newPart      bool
	zone         string
	numbered     bool // the first column only numbers the rows
}

// column is what is learnt of one column beside its numbers.
type column struct {
	name, unit string
	numbers    int    // cells that are plain numbers, counted at the end
	clocks     [4]int // by table.Kind, TimeOfDay … Date
	short      int    // times of minutes and seconds only
	day        int64
	dayKnown   bool
	isClock    bool
	tail       string // unit in the cells
	tails      int
	otherTails int
	words      []wordCell
	kinds      map[string]int32
	texts      []string
	overflow   bool
}

type wordCell struct {
	row  int
	kind int32
}

// top takes names, units and metadata from the lines above the samples.
func (r *reader) top(lines []headLine) {
	var above [][]string
	for _, l := range lines[:r.d.first] {
		var cells []string
		if len(bytes.TrimSpace(l.text)) > 0 {
			for _, c := range splitCells(l.text, r.d.sep) {
				cells = append(cells, r.decode(c))
			}
		}
		above = append(above, cells)
	}
	r.h = readHeader(above, r.d.fields)
	if !r.h.found {
		r.book.Add("the file has no line of names; columns are called by their number", 0)
	}
	// Names that stand one cell short belong to the cells behind a leading row
	// number, if the last cell is in use.
	if n := len(r.h.raw); r.h.found && n == r.d.fields-1 && r.lastInUse(lines) {
		r.h.names = append([]string{""}, r.h.names[:n]...)
		r.h.units = append([]string{""}, r.h.units[:n]...)
		r.numbered = true
		r.book.Add("one cell more than names in each row; the first is taken for a row number", lines[r.d.first].number)
	}
	metaLines := r.d.first
	for n := r.h.lines; n > 0 && metaLines > 0; metaLines-- {
		if len(above[metaLines-1]) > 0 {
			n--
		}
	}
	for _, l := range lines[:metaLines] {
		r.metadata(l.text)
	}
	r.cols = make([]column, r.d.fields)
	r.place = make([]int, r.d.fields)
	for i := range r.cols {
		r.cols[i].name, r.cols[i].unit = r.h.names[i], r.h.units[i]
		r.place[i] = i
	}
}

// lastInUse says whether rows that are one cell longer than the names begin with
// a row number: their last cell is used, or their first counts one by one.
// Otherwise they just end in a separator.
func (r *reader) lastInUse(lines []headLine) bool {
	used, rows, counted := 0, 0, 0
	last := 0.0
	for _, l := range lines[r.d.first:] {
		cells := splitCells(l.text, r.d.sep)
		if len(cells) != r.d.fields {
			continue
		}
		rows++
		if len(trimCell(cells[len(cells)-1])) > 0 {
			used++
		}
		v, ok := number(trimCell(cells[0]), r.d.mark)
		if ok && (rows == 1 || v == last+1) {
			counted++
		}
		last = v
	}
	return used > 0 || rows > 3 && counted == rows
}

// decode turns a cell into text.
func (r *reader) decode(cell []byte) string {
	s := r.cs.decode(trimCell(cell))
	return strings.Join(strings.Fields(s), " ")
}

// metadata keeps a line that is not of the table, if it has a key and a value.
func (r *reader) metadata(line []byte) {
	s := strings.TrimSpace(r.cs.decode(line))
	s = strings.TrimSpace(strings.TrimLeft(s, "#!%;/ \t"))
	if s == "" {
		return
	}
	if len(r.meta) >= 1000 || len(s) > 4096 {
		return
	}
	cells := splitCells(line, r.d.sep)
	if len(cells) >= 2 {
		key := strings.TrimRight(strings.TrimLeft(r.decode(cells[0]), "#!%;/ "), ":= ")
		var rest []string
		for _, c := range cells[1:] {
			if v := r.decode(c); v != "" {
				rest = append(rest, v)
			}
		}
		if key != "" && len(rest) > 0 && !strings.ContainsAny(key, "=:") {
			r.keep(key, strings.Join(rest, ", "))
			return
		}
	}
	for _, mark := range []string{"=", ": ", ":", "\t", ";", ","} {
		if k, v, ok := strings.Cut(s, mark); ok && strings.TrimSpace(k) != "" {
			r.keep(strings.Trim(k, " \""), strings.Trim(v, " \","))
			return
		}
	}
}

func (r *reader) keep(key, value string) {
	if _, taken := r.meta[key]; !taken && value != "" {
		r.meta[key] = value
	}
}

// noTable says why there is nothing to read.
func (r *reader) noTable(lines []headLine, fail func(error, int, string, string) error) error {
	for _, sep := range []byte{'\t', ';', ',', '|'} {
		for i := len(lines) - 1; i >= 0; i-- {
			if n := len(splitCells(lines[i].text, sep)); n >= 3 {
				return fail(table.ErrNoRows, lines[i].number, fmt.Sprintf("%d names, then nothing that is a row of numbers", n), "")
			}
		}
	}
	return fail(table.ErrNoTable, 0, fmt.Sprintf("%d lines looked at", len(lines)), "a log needs at least a time column and one channel, separated by commas, semicolons, tabs or bars")
}

// reserve makes room for as many rows as the text is likely to hold.
func (r *reader) reserve(size, perLine float64) {
	r.room = 4096
	if size > 0 && perLine > 0 {
		r.room = int(size/perLine*1.03) + 64
	}
	r.room = min(r.room, 1<<27/max(1, len(r.cols))+4096)
	r.vals = make([][]float64, len(r.cols))
	for i := range r.vals {
		r.vals[i] = make([]float64, r.room)
	}
}

// grow makes room for more rows.
func (r *reader) grow() error {
	if bytes := int64(r.room) * int64(len(r.cols)) * 8; bytes > spreadGrace && bytes > maxSpread*r.bytes {
		return &table.Error{File: r.name, Line: r.line, Err: table.ErrForeign,
			Reason: fmt.Sprintf("rows are far shorter than the %d columns of the header", len(r.cols))}
	}
	room := r.room + r.room/2 + 64
	for i, v := range r.vals {
		w := make([]float64, room)
		copy(w, v[:r.row])
		r.vals[i] = w
	}
	r.room = room
	return nil
}

// body reads the rows. first holds bytes that were read already.
func (r *reader) body(first []byte, src io.Reader, whole bool) error {
	room := chunkSize
	if whole {
		room = 0
	}
	buf := make([]byte, 0, room+len(first)+1)
	buf = append(buf, first...)
	r.bytes = int64(len(first))
	for ended := whole; ; {
		if ended {
			return r.last(buf)
		}
		// Everything up to the last line end is complete.
		if end := bytes.LastIndexByte(buf, r.d.eol); end >= 0 {
			used, err := r.block(buf[:end+1], false)
			if err != nil {
				return err
			}
			buf = append(buf[:0], buf[used:]...)
		}
		if len(buf) > maxLine {
			return &table.Error{File: r.name, Line: r.line + 1, Err: table.ErrForeign, Reason: fmt.Sprintf("a line of more than %d bytes", maxLine)}
		}
		if cap(buf)-len(buf) < chunkSize/2 {
			buf = append(make([]byte, 0, 2*cap(buf)+chunkSize), buf...)
		}
		n, err := src.Read(buf[len(buf):min(cap(buf), len(buf)+chunkSize)])
		fresh := withoutZeros(buf[len(buf) : len(buf)+n])
		buf = buf[:len(buf)+len(fresh)]
		r.bytes += int64(n)
		switch {
		case errors.Is(err, io.EOF):
			ended = true
		case err != nil:
			// A damaged archive still gives what could be unpacked.
			if r.row == 0 && len(buf) == 0 {
				return &table.Error{File: r.name, Line: r.line, Err: err}
			}
			r.book.Add("the file breaks off: "+err.Error(), r.line+1)
			ended = true
		}
	}
}

// withoutZeros takes zero bytes out, which a logger leaves that reserved room and
// lost power.
func withoutZeros(b []byte) []byte {
	at := bytes.IndexByte(b, 0)
	if at < 0 {
		return b
	}
	out := b[:at]
	for _, c := range b[at:] {
		if c != 0 {
			out = append(out, c)
		}
	}
	return out
}

// last reads what remains at the end of the file, where the last line may have
// been cut.
func (r *reader) last(buf []byte) error {
	buf = bytes.TrimRight(buf, "\x00\x1a")
	end := bytes.LastIndexByte(buf, r.d.eol)
	if end >= 0 {
		used, err := r.block(buf[:end+1], true)
		if err != nil {
			return err
		}
		buf = buf[used:]
	}
	buf = bytes.TrimSuffix(buf, []byte{'\r'})
	if len(bytes.TrimSpace(buf)) == 0 {
		return nil
	}
	cells := splitCells(buf, r.d.sep)
	if n := len(cells); n < r.d.fields && r.row > 0 {
		r.book.Add(fmt.Sprintf("the last line is cut short (%d of %d cells) and was dropped", n, r.d.fields), r.line+1)
		return nil
	}
	_, err := r.block(append(append([]byte(nil), buf...), r.d.eol), true)
	return err
}

// finish turns what was read into a table.
func (r *reader) finish() (*table.Table, error) {
	if r.row == 0 {
		return nil, &table.Error{File: r.name, Line: r.line, Err: table.ErrNoRows}
	}
	t := &table.Table{Format: "csv", Meta: r.meta, Rows: r.row, Parts: r.parts, Clock: -1}
	var inCells []string
	for i := range r.cols {
		c := &r.cols[i]
		v := r.vals[i][:r.row:r.row]
		if r.numbered && i == 0 {
			continue
		}
		out := table.Column{Name: c.name, Unit: c.unit, Values: v}
		for _, x := range v {
			if x == x {
				c.numbers++
			}
		}
		for _, n := range c.clocks {
			c.numbers -= n
		}
		clocks, kind := 0, table.Numbers
		for k, n := range c.clocks {
			if n > clocks {
				clocks, kind = n, table.Kind(k)
			}
		}
		words := len(c.words)
		switch {
		case c.overflow || words > c.numbers+clocks:
			if !c.overflow {
				out.Kind = table.Words
				out.Text = make([]string, r.row)
				for _, w := range c.words {
					out.Text[w.row] = c.texts[w.kind]
				}
			} else {
				r.book.Add(fmt.Sprintf("column %q holds words of more than %d sorts and is not kept", c.name, maxWordKinds), 0)
			}
		case clocks > c.numbers:
			out.Kind, out.Day, out.Period, out.Zone = kind, c.day, 86400, r.zone
			if 2*c.short > clocks {
				out.Period = 3600
			}
		}
		if out.Kind == table.Numbers && out.Unit == "" && 2*c.tails > c.numbers {
			out.Unit = c.tail
			inCells = append(inCells, fmt.Sprintf("%q (%s)", c.name, c.tail))
		}
		if out.Kind == table.Numbers && words > 0 && !c.overflow {
			r.book.Add(fmt.Sprintf("column %q: %d cells are no numbers and count as blank, the first in line %d: %q", c.name, words, t.Line(c.words[0].row), c.texts[c.words[0].kind]), 0)
		}
		if out.Name == "" {
			if c.numbers+clocks+words == 0 {
				continue // a separator at the line's end
			}
			out.Name = fmt.Sprintf("column %d", i+1)
		}
		t.Columns = append(t.Columns, out)
	}
	if n := len(inCells); n > 0 {
		if n > 5 {
			inCells = append(inCells[:4], fmt.Sprintf("%d more", n-4))
		}
		r.book.Add("units stand in the cells of "+strings.Join(inCells, ", "), 0)
	}
	t.Notes = r.book.Sentences()
	return t, nil
}

// nan fills blank cells.
var nan = math.NaN()
