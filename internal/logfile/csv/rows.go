package csv

import (
	"bytes"

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
	s := signs{sep, eol, r.d.mark}
	if s.mark == sep {
		s.mark = 0xFF // decimal commas in comma-separated files stand in quotes
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
		grown, err := r.beginRow()
		if err != nil {
			return i, err
		}
		if grown {
			dst = r.targets()
		}
		row, cell := r.row, 0
		for {
			var ended bool
			i, cell, ended = s.plainCells(b, i, cell, row, dst)
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
			if cell < len(place) {
				dst[cell][row] = r.slowCell(b[i:end], place[cell])
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
			r.blankRest(dst, cell)
		}
		if len(place) < len(r.vals) {
			r.blankOthers(row)
		}
		r.row++
	}
	return len(b), nil
}

// beginRow makes room for a row and opens a part where one is due; grown says
// that the columns were moved for it.
func (r *reader) beginRow() (grown bool, err error) {
	if r.row == r.room {
		if err := r.grow(); err != nil {
			return false, err
		}
		grown = true
	}
	if r.newPart || len(r.parts) == 0 {
		r.parts = append(r.parts, table.Part{Row: r.row, Line: r.line})
		r.newPart = false
	}
	return grown, nil
}

// blankRest blanks the cells that a row lacks, from cell on. One missing cell is a
// separator left out at the line's end, and not worth a word unless it is half the
// row.
func (r *reader) blankRest(dst [][]float64, cell int) {
	if cell+1 < len(dst) || cell == 1 {
		r.book.Add("fewer cells than names; the missing ones count as blank", r.line)
	}
	for ; cell < len(dst); cell++ {
		dst[cell][r.row] = nan
	}
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

// loose reads a row whose cells are parted by runs of blanks.
func (r *reader) loose(line []byte) error {
	if _, err := r.beginRow(); err != nil {
		return err
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
