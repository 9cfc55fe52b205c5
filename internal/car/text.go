package car

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// codePoint is how the decoder names a character besides showing it.
var codePoint = regexp.MustCompile(`U\+[0-9A-F]{4,6} `)

var decimalComma = regexp.MustCompile(`=\s*\[?[^"#]*\d,\d`)

// hint adds advice for the mistakes that people make most.
func hint(data []byte, line int, complaint string) string {
	rows := bytes.Split(data, []byte("\n"))
	if line < 1 || line > len(rows) {
		return ""
	}
	row := rows[line-1]
	switch {
	case decimalComma.Match(row) && !bytes.Contains(row, []byte("[")):
		return "; decimals are written with a point, as in 0.72"
	case !bytes.Contains(row, []byte("=")) && !bytes.Contains(row, []byte("[")):
		return "; each line is either key = value, a [table] or a # comment"
	case strings.Contains(complaint, "start of value") && !bytes.ContainsAny(row, `"'`):
		return "; text is written between quotes"
	}
	return ""
}

// toUTF8 accepts what plain text editors save: UTF-8 with or without a mark,
// UTF-16 with a mark, and, failing that, single-byte western text.
func (d *document) toUTF8(data []byte) []byte {
	switch {
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		data = fromUTF16(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		data = fromUTF16(data[2:], binary.BigEndian)
	}
	if utf8.Valid(data) {
		return data
	}
	d.notes = append(d.notes, d.name+" is not saved as UTF-8; it was read as western single-byte text.")
	out := make([]byte, 0, len(data)+len(data)/8)
	for _, b := range data {
		out = utf8.AppendRune(out, rune(b))
	}
	return out
}

func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

// hostile finds what no sheet or notes file has and what would cost the parser time
// or stack without bound: deep nesting (it recurses), endless tables (it searches the
// keys of a table one by one).
func hostile(data []byte) (line int, text string) {
	depth, line, table := 0, 1, 1
	for i, b := range data {
		switch b {
		case '\n':
			line++
			if line-table > maxTable {
				return line, fmt.Sprintf("a table of more than %d lines is none of a sheet or of notes", maxTable)
			}
		case '[', '{':
			if i == 0 || data[i-1] == '\n' {
				table = line
			}
			if depth++; depth > maxDepth {
				return line, "brackets are nested too deep"
			}
		case ']', '}':
			depth = max(0, depth-1)
		}
	}
	return 0, ""
}
