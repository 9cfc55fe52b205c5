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
	raw   []string // names as they stand, to know a repeated header again
	lines int      // how many lines it takes, units included
	row   bool     // units have a line of their own
	found bool     // false when the file has no names
}

// readHeader looks for names and units among the lines above the first row of
// samples; above is cut into cells already, nearest line last.
func readHeader(above [][]string, fields int) header {
	h := header{}
	// Lines of the table's width directly above the samples, comment marks
	// taken off, metadata excluded.
	type candidate struct {
		cells []string
		units float64 // share of the filled cells that are units
		text  float64 // words for each column of the table
	}
	var rows []candidate
	for i := len(above) - 1; i >= 0 && len(rows) < 4; i-- {
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
		c := candidate{cells: cells}
		filled, units, text := 0, 0, 0
		for _, s := range cells {
			if s == "" {
				continue
			}
			filled++
			if _, ok := quantity.ParseUnit(s); ok {
				units++
			}
			if _, ok := number([]byte(s), '.'); !ok {
				text++
			}
		}
		if filled == 0 {
			break
		}
		c.units = float64(units) / float64(filled)
		c.text = float64(text) / float64(fields)
		rows = append(rows, c)
	}
	if len(rows) == 0 {
		h.names = make([]string, fields)
		h.units = make([]string, fields)
		for i := range h.names {
			h.names[i] = fmt.Sprintf("column %d", i+1)
		}
		h.raw = h.names
		return h
	}
	// The names are the line with most words; the units, a line below or above
	// it in which most cells are units.
	names := 0
	for i, r := range rows {
		if r.units < 0.7 && (r.text > 1.2*rows[names].text || rows[names].units >= 0.7 && r.text >= rows[names].text/2) {
			names = i
		}
	}
	units := -1
	for i, r := range rows {
		if i != names && r.units >= 0.5 && (units < 0 || r.units > rows[units].units) && i >= names-2 && i <= names+1 {
			units = i
		}
	}
	h.found = true
	h.lines = max(names, units) + 1
	h.raw = rows[names].cells
	h.names = fit(rows[names].cells, fields)
	if units >= 0 {
		h.row = true
		h.units = fit(rows[units].cells, fields)
		for i, u := range h.units {
			if p, ok := quantity.ParseUnit(u); ok && p.Symbol == "" {
				h.units[i] = ""
			}
			h.units[i] = strings.Trim(h.units[i], "[]() ")
		}
		for i, u := range fit(rows[units].cells, fields) { // keep "bar(a)" whole
			if h.units[i] != "" && strings.Contains(u, "(") && !strings.HasPrefix(u, "(") {
				h.units[i] = u
			}
		}
		return h
	}
	h.names, h.units = splitUnits(h.names)
	return h
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

// brackets are the pairs in which a unit may stand behind a name.
var brackets = []struct{ open, close string }{{"[", "]"}, {"(", ")"}, {"{", "}"}, {"<", ">"}, {"|", ""}}

// splitUnits separates names from units when the file has them in one cell, in
// whatever style most of its columns use.
func splitUnits(cells []string) (names, units []string) {
	names = append([]string(nil), cells...)
	units = make([]string, len(cells))
	filled := 0
	for _, c := range cells {
		if c != "" {
			filled++
		}
	}
	// How many cells end in a bracket of each sort.
	style := make([]int, len(brackets))
	for _, c := range cells {
		for k, b := range brackets {
			if _, _, ok := bracketed(c, b.open, b.close); ok {
				style[k]++
				break
			}
		}
	}
	bracketsSeen := false
	for i, c := range cells {
		for k, b := range brackets {
			name, unit, ok := bracketed(c, b.open, b.close)
			if !ok || name == "" {
				continue
			}
			// A second bracket before it belongs to the unit: "Boost (psi) (gauge)".
			if n2, u2, ok := bracketed(name, b.open, b.close); ok && n2 != "" {
				if _, good := quantity.ParseUnit(u2 + unit); good {
					name, unit = n2, u2+" "+unit
				}
			}
			if isReference(unit) && endsInPressure(name) {
				continue // "Saugrohrdruck_bar(a)": the ending is the unit
			}
			_, known := quantity.ParseUnit(unit)
			if known || unit == "" || 2*style[k] >= filled && len([]rune(unit)) <= 12 {
				names[i], units[i] = name, unit
				bracketsSeen = bracketsSeen || unit != ""
				break
			}
		}
	}
	if bracketsSeen {
		return names, units
	}
	return splitEndings(names)
}

// isReference says whether a text only tells from where a pressure counts.
func isReference(s string) bool {
	switch strings.ToLower(s) {
	case "a", "g", "r", "ü", "abs", "rel", "gauge", "absolute":
		return true
	}
	return false
}

func endsInPressure(name string) bool {
	at := strings.LastIndexAny(name, " _-/,.")
	u, ok := quantity.ParseUnit(name[at+1:])
	return ok && u.Dim == quantity.DimPressure && at > 0
}

func bracketed(c, open, close string) (name, unit string, ok bool) {
	if !strings.HasSuffix(c, close) {
		return "", "", false
	}
	inner := strings.TrimSuffix(c, close)
	at := strings.LastIndex(inner, open)
	if at < 0 {
		return "", "", false
	}
	// "bar(a)" inside square brackets is cut at the outer pair by LastIndex of
	// its own sort; "(bar(a))" needs the matching one.
	if close == ")" && strings.HasSuffix(inner, ")") {
		if at2 := strings.LastIndex(inner[:at], open); at2 >= 0 && strings.Count(inner[at2:], "(") > strings.Count(inner[at2:], ")") {
			at = at2
		}
	}
	return strings.TrimSpace(inner[:at]), strings.TrimSpace(inner[at+len(open):]), true
}

// splitEndings separates names that end in their unit ("oil_press_kpa",
// "Speed, km/h", "Oil pressure kPa"), provided that enough columns do. Endings of
// one letter count only then, and not when a sister column shows that the letter
// is an index ("lambda_a", "lambda_b").
func splitEndings(cells []string) (names, units []string) {
	names = append([]string(nil), cells...)
	units = make([]string, len(cells))
	for _, sep := range []string{", ", " / ", " in ", " - ", "_", ".", " ", "-", ":"} {
		hits, filled := 0, 0
		for _, c := range cells {
			if c == "" {
				continue
			}
			filled++
			if _, unit, ok := cutLast(c, sep); ok && len([]rune(unit)) > 1 {
				if u, ok := quantity.ParseUnit(unit); ok && u.Symbol != "" {
					hits++
				}
			}
		}
		if hits < 2 || 5*hits < 2*filled {
			continue
		}
		stems := map[string][]string{}
		for _, c := range cells {
			if stem, last, ok := cutLast(c, sep); ok {
				stems[stem] = append(stems[stem], last)
			}
		}
		for i, c := range cells {
			stem, unit, ok := cutLast(c, sep)
			if !ok {
				continue
			}
			if _, known := quantity.ParseUnit(unit); !known {
				continue
			}
			if len([]rune(unit)) == 1 && isIndexLetter(stems[stem]) {
				continue
			}
			if _, isNumber := number([]byte(unit), '.'); isNumber {
				continue
			}
			names[i], units[i] = stem, unit
		}
		return names, units
	}
	return names, units
}

func cutLast(c, sep string) (stem, last string, ok bool) {
	at := strings.LastIndex(c, sep)
	if at <= 0 || at+len(sep) == len(c) {
		return "", "", false
	}
	return c[:at], c[at+len(sep):], true
}

// isIndexLetter says whether the endings of one stem are letters that count.
func isIndexLetter(lasts []string) bool {
	for _, l := range lasts {
		if len(l) == 1 {
			if _, ok := quantity.ParseUnit(l); !ok {
				return true
			}
		}
	}
	return false
}
