package csv

import "bytes"

// headLine is one line of the head with its place.
type headLine struct {
	text   []byte // without line end
	offset int
	number int // from 1
}

// splitLines cuts the head into lines. A line break inside quotes does not end a
// line. Unless whole is set the last, possibly cut, line is left out.
func splitLines(head []byte, eol byte, whole bool) []headLine {
	var out []headLine
	number := 1
	for at := 0; at < len(head); {
		end := bytes.IndexByte(head[at:], eol)
		open := 0
		if end >= 0 {
			// Up to 300 continuation lines inside quotes.
			quotes := bytes.Count(head[at:at+end], []byte{'"'})
			for quotes%2 == 1 && open < 300 {
				next := bytes.IndexByte(head[at+end+1:], eol)
				if next < 0 {
					break
				}
				quotes += bytes.Count(head[at+end+1:at+end+1+next], []byte{'"'})
				end += 1 + next
				open++
			}
			if quotes%2 == 1 { // a lone quote sign, as for inches
				end, open = bytes.IndexByte(head[at:], eol), 0
			}
		}
		if end < 0 {
			if whole || len(out) == 0 {
				out = append(out, headLine{bytes.TrimSuffix(head[at:], []byte{'\r'}), at, number})
			}
			break
		}
		out = append(out, headLine{bytes.TrimSuffix(head[at:at+end], []byte{'\r'}), at, number})
		number += 1 + open
		at += end + 1
	}
	return out
}

// splitCells cuts a line at the separator outside quotes; the cells are as they
// stand, quotes included.
func splitCells(line []byte, sep byte) [][]byte {
	if sep == ' ' {
		return bytes.Fields(line)
	}
	var out [][]byte
	start, quoted := 0, false
	fresh := true // only blanks so far in this cell
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case c == '"' && (quoted || fresh):
			quoted = !quoted
			fresh = false
		case c == sep && !quoted:
			out = append(out, line[start:i])
			start, fresh = i+1, true
		case c != ' ':
			fresh = false
		}
	}
	if quoted && bytes.IndexByte(line, sep) >= 0 && len(out) == 0 {
		return bytes.Split(line, []byte{sep})
	}
	return append(out, line[start:])
}
