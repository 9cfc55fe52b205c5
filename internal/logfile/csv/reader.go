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
	"fmt"
	"io"

	"traplight/internal/logfile/table"
)

// Read reads a text table. size is the length of the text in bytes if it is
// known, else 0; it serves to reserve memory.
func Read(name string, src io.Reader, size int64) (*table.Table, error) {
	fail := func(err error, line int, reason, hint string) error {
		return &table.Error{File: name, Line: line, Err: err, Reason: reason, Hint: hint}
	}
	var book table.Book
	h, err := readHead(src, size, &book)
	if err != nil {
		return nil, &table.Error{File: name, Err: err}
	}
	head, src, whole := h.text, h.rest, h.whole
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
		if h.broken != nil {
			return nil, &table.Error{File: name, Err: h.broken}
		}
		return nil, r.noTable(lines, fail)
	}
	if h.broken != nil {
		book.Add("the file breaks off: "+h.broken.Error(), 0)
	}
	r.d = d
	if d.fields > maxColumns {
		return nil, fail(table.ErrForeign, lines[d.first].number, fmt.Sprintf("%d columns", d.fields), "")
	}
	r.top(lines)
	start := lines[d.first].offset
	r.line = lines[d.first].number - 1
	perLine := float64(len(head)-start) / float64(max(1, bytes.Count(head[start:], []byte{eol})))
	r.reserve(float64(h.size), perLine)
	if err := r.body(head[start:], src, whole); err != nil {
		return nil, err
	}
	return r.finish()
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
