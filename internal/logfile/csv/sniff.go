package csv

import (
	"bytes"
)

// headSize is how much of a file is looked at before reading it, bytes.
const headSize = 128 << 10

// sniffLines is how many lines are weighed for each separator.
const sniffLines = 400

// dialect is how a file writes its table.
type dialect struct {
	sep     byte // ' ' means any run of blanks
	mark    byte // decimal mark
	eol     byte // '\n', or '\r' for files of old
	order   order
	ordSure bool   // the order of dates is proven by a number above 12, or by its form
	fields  int    // cells in most rows
	first   int    // index among the head's lines of the first row of samples
	quoted  bool   // quotes occur in the head
	words   []bool // columns that hold mostly words in the head
}

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
			// Up to 20 continuation lines inside one pair of quotes.
			for bytes.Count(head[at:at+end], []byte{'"'})%2 == 1 && open < 20 {
				next := bytes.IndexByte(head[at+end+1:], eol)
				if next < 0 {
					break
				}
				end += 1 + next
				open++
			}
			if bytes.Count(head[at:at+end], []byte{'"'})%2 == 1 { // a lone quote sign, as for inches
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

// sniff finds the dialect of the head's lines; ok is false when nothing looks
// like a table of numbers.
func sniff(lines []headLine, eol byte) (d dialect, ok bool) {
	best := 0.0
	for _, sep := range []byte{'\t', ';', ',', '|', ' '} {
		c, score := try(lines, sep)
		if sep == ' ' {
			score *= 0.5
		}
		if score > best {
			best, d = score, c
		}
	}
	d.eol = eol
	return d, best > 0
}

// try weighs one separator: how many cells of the rows of the commonest width
// are numbers, times or blank.
func try(lines []headLine, sep byte) (dialect, float64) {
	d := dialect{sep: sep, mark: '.'}
	sample := lines
	if len(sample) > sniffLines {
		sample = sample[:sniffLines]
	}
	cells := make([][][]byte, len(sample))
	width := map[int]int{}
	commas, points := 0, 0
	for i, l := range sample {
		if len(bytes.TrimSpace(l.text)) == 0 {
			continue
		}
		cells[i] = splitCells(l.text, sep)
		if len(cells[i]) < 2 {
			continue
		}
		for _, c := range cells[i] {
			switch c := trimCell(c); decimalMark(c) {
			case ',':
				commas++
			case '.':
				points++
			}
		}
	}
	if commas > points {
		d.mark = ','
	}
	d.order, d.ordSure = dateOrder(cells)
	numeric := make([]int, len(sample))
	filled := make([]int, len(sample))
	for i := range cells {
		if len(cells[i]) < 2 {
			continue
		}
		for _, c := range cells[i] {
			switch kind, _, _, _ := parseCell(c, &d); kind {
			case blank:
			case word:
				filled[i]++
			default:
				filled[i]++
				numeric[i]++
			}
		}
		if numeric[i] > 0 && 3*numeric[i] >= filled[i] {
			width[len(cells[i])] += numeric[i]
		}
	}
	most := 0
	for n, w := range width {
		if w > most || w == most && n > d.fields {
			most, d.fields = w, n
		}
	}
	if most == 0 {
		return d, 0
	}
	// The share of cells that a row of samples fills with numbers, over all rows
	// of that width, times the number of cells seen.
	good, all := 0, 0
	d.first = -1
	for i := range cells {
		n := len(cells[i])
		if n < 2 || n < d.fields-1 || n > d.fields+1 || !isData(cells[i], numeric[i], filled[i], &d) {
			continue
		}
		if d.first < 0 {
			// A row with the look of samples that stands before more header is
			// metadata: the next lines must go on like it.
			if !continues(cells, numeric, filled, i, &d) {
				continue
			}
			d.first = i
		}
		good += numeric[i]
		all += filled[i]
	}
	if d.first < 0 {
		return d, 0
	}
	if i, n := earlierTable(cells, numeric, filled, &d); i >= 0 {
		d.first, d.fields = i, n
	}
	d.words = wordColumns(cells[d.first:], &d)
	share := float64(good) / float64(max(all, 1))
	return d, share * share * float64(good)
}

// earlierTable finds a table of another width above the one found: a first
// recording with other channels. It has a line of names and at least two rows
// that begin with a number. -1 when there is none.
func earlierTable(cells [][][]byte, numeric, filled []int, d *dialect) (first, fields int) {
	for i := 1; i+1 < d.first; i++ {
		n := len(cells[i])
		if n < 2 || n == d.fields || len(cells[i-1]) != n || len(cells[i+1]) != n || numeric[i-1] > 0 || filled[i-1] < n {
			continue
		}
		if numeric[i] < n || numeric[i+1] < n {
			continue
		}
		if kind, _, _, _ := parseCell(cells[i][0], d); kind == plain || kind == clock {
			return i, n
		}
	}
	return -1, 0
}

// isData says whether a line can be a row of samples.
func isData(cells [][]byte, numeric, filled int, d *dialect) bool {
	if numeric == 0 || 5*numeric < 2*filled && filled > 3 {
		return false
	}
	// A comment with numbers in it is not a row.
	first := trimCell(cells[0])
	return len(first) == 0 || !isOneOf(first[0], '#', '!', '%', '/')
}

// continues says whether most of the next few non-empty lines are rows too.
func continues(cells [][][]byte, numeric, filled []int, i int, d *dialect) bool {
	rows, other := 0, 0
	for j := i + 1; j < len(cells) && rows+other < 4; j++ {
		n := len(cells[j])
		if n < 2 {
			continue
		}
		if n >= d.fields-1 && n <= d.fields+1 && isData(cells[j], numeric[j], filled[j], d) {
			rows++
		} else {
			other++
		}
	}
	return rows >= other
}

// decimalMark tells which mark a cell that looks like a decimal number uses, 0
// for none.
func decimalMark(c []byte) byte {
	var mark byte
	marks := 0
	for i, b := range c {
		switch {
		case b == '.' || b == ',':
			mark = b
			marks++
		case b-'0' < 10, i == 0 && (b == '-' || b == '+'):
		case b|0x20 == 'e' && i > 0:
			return mark
		default:
			if marks == 1 && i > 1 && !isOneOf(b, ':', '-', '/') {
				return mark // a unit behind it
			}
			return 0
		}
	}
	if marks != 1 {
		return 0
	}
	return mark
}

// dateOrder finds how dates of the form a/b/c are to be read, from a number
// above 12 where there is one, else from the mark between them.
func dateOrder(rows [][][]byte) (o order, sure bool) {
	var mark byte
	seen := false
	for _, cells := range rows {
		for _, c := range cells {
			c = trimCell(c)
			if len(c) < 6 || c[0]-'0' >= 10 {
				continue
			}
			a, i := leadingInt(c)
			if i > 2 || i == len(c) || !isOneOf(c[i], '/', '.', '-') {
				continue
			}
			m := c[i]
			b, j := leadingInt(c[i+1:])
			if j == 0 || j > 2 || i+1+j >= len(c) || c[i+1+j] != m {
				continue
			}
			mark, seen = m, true
			switch {
			case a > 12 && a <= 31 && b <= 12:
				return dayFirst, true
			case b > 12 && b <= 31 && a <= 12:
				return monthFirst, true
			}
		}
	}
	if seen && mark == '/' {
		return monthFirst, false
	}
	return dayFirst, !seen || mark == '.'
}

func leadingInt(b []byte) (n, width int) {
	for width < len(b) && b[width]-'0' < 10 {
		n = min(n*10+int(b[width]-'0'), 1<<20)
		width++
	}
	return n, width
}

// wordColumns tells which columns hold mostly words.
func wordColumns(rows [][][]byte, d *dialect) []bool {
	words, other := make([]int, d.fields), make([]int, d.fields)
	for _, cells := range rows {
		for k, c := range cells {
			if k >= d.fields {
				break
			}
			switch kind, _, _, _ := parseCell(c, d); kind {
			case blank:
			case word:
				words[k]++
			default:
				other[k]++
			}
		}
	}
	out := make([]bool, d.fields)
	for k := range out {
		out[k] = words[k] > other[k]
	}
	return out
}
