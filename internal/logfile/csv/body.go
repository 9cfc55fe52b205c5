package csv

import (
	"bytes"
	"errors"
	"fmt"
	"io"

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
