package csv

import "bytes"

// signs are the bytes that part cells, lines and decimals.
type signs struct{ sep, eol, mark byte }

// plainCells is the reader's inner loop: it takes cells of a row that are blank or
// plain short numbers, quoted or not, from b[i] and cell on, until the line ends
// (ended) or a cell is something else. b ends with a line end, so looking one byte
// ahead is safe.
func (s signs) plainCells(b []byte, i, cell, row int, dst [][]float64) (next, nextCell int, ended bool) {
	sep, eol, mark := s.sep, s.eol, s.mark
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
