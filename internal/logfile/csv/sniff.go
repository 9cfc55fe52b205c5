package csv

import "bytes"

// sniffLines is how many lines are weighed for each separator.
const sniffLines = 400

// dialect is how a file writes its table.
type dialect struct {
	sep    byte // ' ' means any run of blanks
	mark   byte // decimal mark
	eol    byte // '\n', or '\r' for files of old
	order  order
	fields int             // cells in most rows
	first  int             // index among the head's lines of the first row of samples
	words  []bool          // columns that hold mostly words in the head
	blanks map[string]bool // words by which the file says "no value"
}

// sniff finds the dialect of the head's lines; ok is false when nothing looks
// like a table of numbers.
func sniff(lines []headLine, eol byte) (d dialect, ok bool) {
	best := 0.0
	for _, sep := range separators {
		if isOneOf(sep, '^', '~') && !seen(lines, sep) {
			continue
		}
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

// separators are the marks that may stand between cells; the blank means any run of them.
var separators = []byte{'\t', ';', ',', '|', '^', '~', ' '}

// seen says whether a mark stands in the line in the middle of the head, which is a row of
// samples if the head holds any.
func seen(lines []headLine, mark byte) bool {
	return len(lines) > 0 && bytes.IndexByte(lines[len(lines)/2].text, mark) >= 0
}

// try weighs one separator: how many cells of the rows of the commonest width
// are numbers, times or blank.
func try(lines []headLine, sep byte) (dialect, float64) {
	d := dialect{sep: sep}
	cells := splitHead(lines[:min(len(lines), sniffLines)], sep)
	d.mark = commonMark(cells)
	d.order = dateOrder(cells)
	var kinds [][]sort
	if d.blanks, kinds = blankWords(cells, &d); d.blanks != nil {
		_, kinds = blankWords(cells, &d)
	}
	numeric, filled := counts(cells, kinds)
	if d.fields = commonWidth(cells, numeric, filled); d.fields == 0 {
		return d, 0
	}
	ragged := false
	if n := namesOver(cells, numeric, filled, d.fields); n > 0 {
		d.fields, ragged = n, true
	}
	// The share of cells that a row of samples fills with numbers, over all rows
	// of that width, times the number of cells seen.
	good, all := 0, 0
	d.first = -1
	for i := range cells {
		n := len(cells[i])
		if n < 2 || n < d.fields-1 && !ragged || n > d.fields+1 || !isData(cells[i], numeric[i], filled[i]) {
			continue
		}
		if d.first < 0 {
			// A row with the look of samples that stands before more header is
			// metadata: the next lines must go on like it.
			if !continues(cells, numeric, filled, i, &d, ragged) {
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
	d.first = shortRowsBefore(cells, numeric, filled, &d)
	if i, n := earlierTable(cells, numeric, filled, &d); i >= 0 {
		d.first, d.fields = i, n
	}
	d.words = wordColumns(kinds[d.first:], d.fields)
	share := float64(good) / float64(max(all, 1))
	return d, share * share * float64(good)
}

// splitHead cuts lines into cells; a line without anything has none.
func splitHead(lines []headLine, sep byte) [][][]byte {
	cells := make([][][]byte, len(lines))
	for i, l := range lines {
		if len(bytes.TrimSpace(l.text)) > 0 {
			cells[i] = splitCells(l.text, sep)
		}
	}
	return cells
}

// commonMark is the decimal mark that most cells show.
func commonMark(cells [][][]byte) byte {
	commas, points := 0, 0
	for _, row := range cells {
		if len(row) < 2 {
			continue
		}
		for _, c := range row {
			switch decimalMark(trimCell(c)) {
			case ',':
				commas++
			case '.':
				points++
			}
		}
	}
	if commas > points {
		return ','
	}
	return '.'
}

// counts tells how many cells of each line hold numbers or times, and how many anything.
func counts(cells [][][]byte, kinds [][]sort) (numeric, filled []int) {
	numeric, filled = make([]int, len(cells)), make([]int, len(cells))
	for i := range cells {
		if len(cells[i]) < 2 {
			continue
		}
		for _, kind := range kinds[i] {
			switch kind {
			case blank:
			case word:
				filled[i]++
			default:
				filled[i]++
				numeric[i]++
			}
		}
	}
	return numeric, filled
}

// commonWidth is how many cells a line has with which most numbers stand, 0 without numbers.
func commonWidth(cells [][][]byte, numeric, filled []int) (fields int) {
	width := map[int]int{}
	for i := range cells {
		if len(cells[i]) >= 2 && numeric[i] > 0 && 3*numeric[i] >= filled[i] {
			width[len(cells[i])] += numeric[i]
		}
	}
	most := 0
	for n, w := range width {
		if w > most || w == most && n > fields {
			most, fields = w, n
		}
	}
	return fields
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
func isData(cells [][]byte, numeric, filled int) bool {
	if numeric == 0 || 5*numeric < 2*filled && filled > 3 {
		return false
	}
	// A comment with numbers in it is not a row.
	first := trimCell(cells[0])
	return len(first) == 0 || !isOneOf(first[0], '#', '!', '%', '/')
}

// continues says whether most of the next few non-empty lines are rows too, and the next
// one no line of names.
func continues(cells [][][]byte, numeric, filled []int, i int, d *dialect, ragged bool) bool {
	rows, other := 0, 0
	for j := i + 1; j < len(cells) && rows+other < 4; j++ {
		n := len(cells[j])
		if n < 2 {
			continue
		}
		if rows+other == 0 && n >= d.fields-1 && numeric[j] == 0 && 2*filled[j] > d.fields {
			return false
		}
		if (n >= d.fields-1 || ragged) && n <= d.fields+1 && isData(cells[j], numeric[j], filled[j]) {
			rows++
		} else {
			other++
		}
	}
	return rows >= other
}

// wordColumns tells which of so many columns hold mostly words, from the kinds of their cells.
func wordColumns(rows [][]sort, fields int) []bool {
	words, other := make([]int, fields), make([]int, fields)
	for _, kinds := range rows {
		for k, kind := range kinds {
			if k >= fields {
				break
			}
			switch kind {
			case blank:
			case word:
				words[k]++
			default:
				other[k]++
			}
		}
	}
	out := make([]bool, fields)
	for k := range out {
		out[k] = words[k] > other[k]
	}
	return out
}
