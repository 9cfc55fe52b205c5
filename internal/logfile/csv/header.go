package csv

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// header is the names and units of a table.
type header struct {
	names []string // without units
	units []string
	raw   []string   // names as they stand, to know a repeated header again
	all   [][]string // every line near the names, to know those again
	lines int        // how many lines it takes, units included
	row   bool       // units have a line of their own
	found bool       // false when the file has no names
}

// headerLine is a line that may hold names or units.
type headerLine struct {
	cells []string
	units float64 // share of the filled cells that are units
	text  float64 // different words for each column of the table: names differ, recorders and groups come again
}

// mostHeaderLines is how many lines directly above the samples are looked at.
const mostHeaderLines = 4

// readHeader looks for names and units among the lines above the first row of
// samples; above is cut into cells already, nearest line last.
func readHeader(above [][]string, fields int) header {
	rows, sorts := headerLines(above, fields)
	if len(rows) == 0 {
		h := header{names: make([]string, fields), units: make([]string, fields)}
		for i := range h.names {
			h.names[i] = fmt.Sprintf("column %d", i+1)
		}
		h.raw = h.names
		return h
	}
	names, units := namesAndUnits(rows)
	h := header{found: true, lines: max(names, units) + 1 + sorts, raw: rows[names].cells}
	for _, l := range above[max(0, len(above)-mostHeaderLines):] {
		h.all = append(h.all, l)
	}
	h.names = fit(rows[names].cells, fields)
	if units >= 0 {
		h.row = true
		h.units = bareUnits(fit(rows[units].cells, fields))
		return h
	}
	h.names, h.units = splitUnits(h.names)
	return h
}

// headerLines are the lines of the table's width directly above the samples,
// nearest first: comment marks taken off, metadata excluded. sorts is how many
// lines between them only tell how numbers are kept.
func headerLines(above [][]string, fields int) (rows []headerLine, sorts int) {
	for i := len(above) - 1; i >= 0 && len(rows) < mostHeaderLines; i-- {
		cells := above[i]
		if len(cells) == 0 || len(cells) == 1 && cells[0] == "" {
			if len(rows) > 0 {
				break
			}
			continue
		}
		cells = uncomment(cells)
		// Names may lack the index column, or trailing ones.
		if len(cells) < fields-1-fields/10 || len(cells) > fields+1+fields/10 || len(cells) < 2 && fields > 2 {
			break
		}
		filled, units, text := 0, 0, 0
		distinct := map[string]bool{}
		for _, s := range cells {
			if s == "" {
				continue
			}
			filled++
			distinct[s] = true
			if _, ok := quantity.ParseUnit(s); ok && s != "GPS" { // the receiver, no grams per second
				units++
			}
			if _, ok := number([]byte(s), '.'); !ok {
				text++
			}
		}
		if filled == 0 {
			break
		}
		if sortsOfNumbers(cells) || text == filled && filled > 5 && oneWord(cells) {
			sorts++
			continue
		}
		different := float64(len(distinct)) / float64(filled)
		rows = append(rows, headerLine{cells, float64(units) / float64(filled), different * float64(text) / float64(fields)})
	}
	return rows, sorts
}

// numberSorts are the words for sorts of numbers that programming languages share.
var numberSorts = map[string]bool{"float": true, "float32": true, "float64": true, "double": true, "single": true, "real": true, "int": true, "int8": true,
	"int16": true, "int32": true, "int64": true, "uint8": true, "uint16": true, "uint32": true, "uint64": true, "integer": true, "short": true, "long": true,
	"byte": true, "bool": true, "boolean": true, "string": true, "number": true, "numeric": true, "text": true}

// sortsOfNumbers says whether a line tells in each cell how its numbers are kept.
func sortsOfNumbers(cells []string) bool {
	filled := 0
	for _, s := range cells {
		if s == "" {
			continue
		}
		filled++
		if !numberSorts[strings.ToLower(s)] {
			return false
		}
	}
	return filled > 1
}

// oneWord says whether all cells of a line hold the same words, as names do not.
func oneWord(cells []string) bool {
	for _, s := range cells {
		if s != cells[0] {
			return false
		}
	}
	return true
}

// namesAndUnits picks the line of names, which has most different words, and the line of
// units near it in which most cells are units, -1 when there is none.
func namesAndUnits(rows []headerLine) (names, units int) {
	for i, r := range rows {
		if r.units < 0.7 && (r.text > 1.2*rows[names].text || rows[names].units >= 0.7 && r.text >= rows[names].text/2) {
			names = i
		}
	}
	units = -1
	for i, r := range rows {
		if i != names && r.units >= 0.5 && (units < 0 || r.units > rows[units].units) && i >= names-2 && i <= names+1 {
			units = i
		}
	}
	return names, units
}

// bareUnits takes brackets off the units of a line, but for those that belong to
// a unit such as "bar(a)", and blanks what stands for "no unit".
func bareUnits(cells []string) []string {
	out := make([]string, len(cells))
	for i, u := range cells {
		if p, ok := quantity.ParseUnit(u); ok && p.Symbol == "" {
			continue
		}
		out[i] = strings.Trim(u, "[]() ")
		if out[i] != "" && strings.Contains(u, "(") && !strings.HasPrefix(u, "(") {
			out[i] = u
		}
	}
	return out
}

// fit brings a line of cells to the table's width.
func fit(cells []string, fields int) []string {
	out := make([]string, fields)
	copy(out, cells)
	return out
}

// uncomment takes a comment mark off the first cell.
func uncomment(cells []string) []string {
	s := strings.TrimLeft(cells[0], "#!%;/ \t")
	if s == cells[0] {
		return cells
	}
	out := append([]string(nil), cells...)
	out[0] = strings.TrimSpace(s)
	return out
}
