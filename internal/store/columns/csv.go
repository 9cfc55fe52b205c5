package columns

import (
	"bufio"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
)

// CSV says how to write comma-separated values (RFC 4180). The zero value has
// commas and decimal points.
type CSV struct {
	// DecimalComma writes 1,5 and separates by semicolons, as spreadsheets in
	// much of Europe want it.
	DecimalComma bool
}

// Write writes a table with one heading line. Every number is the shortest
// that reads back as the same; blank cells are empty.
func (o CSV) Write(w io.Writer, t Table) error {
	t = t.OneClock()
	buffered := bufio.NewWriterSize(w, 1<<16)
	separator := byte(',')
	if o.DecimalComma {
		separator = ';'
	}
	head := csv.NewWriter(buffered)
	head.Comma = rune(separator)
	if err := head.Write(append([]string{timeName}, t.headings()...)); err != nil {
		return err
	}
	head.Flush()
	line := make([]byte, 0, 24*(len(t.Columns)+1))
	for i, x := range t.Time {
		line = o.number(line[:0], x)
		for _, c := range t.Columns {
			line = append(line, separator)
			if i < len(c.Values) {
				line = o.number(line, c.Values[i])
			}
		}
		if _, err := buffered.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return buffered.Flush()
}

func (o CSV) number(line []byte, x float64) []byte {
	if math.IsNaN(x) {
		return line
	}
	at := len(line)
	line = strconv.AppendFloat(line, x, 'f', -1, 64)
	if o.DecimalComma {
		if dot := strings.IndexByte(string(line[at:]), '.'); dot >= 0 {
			line[at+dot] = ','
		}
	}
	return line
}
