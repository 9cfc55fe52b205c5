package csv

import (
	"regexp"
	"strings"

	"traplight/internal/quantity"
)

// brackets are the pairs in which a unit may stand behind a name.
var brackets = []struct{ open, close string }{{"[", "]"}, {"(", ")"}, {"{", "}"}, {"<", ">"}, {"|", ""}}

// splitUnits separates names from units when the file has them in one cell, in
// whatever style most of its columns use.
func splitUnits(cells []string) (names, units []string) {
	cells = withoutRates(cells)
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
			if !known {
				// A remark behind the unit: "Speed [km/h] {100 Hz}".
				for _, b2 := range brackets {
					n2, u2, ok := bracketed(name, b2.open, b2.close)
					if _, good := quantity.ParseUnit(u2); ok && good && n2 != "" && u2 != "" {
						name, unit, known = n2, u2, true
						break
					}
				}
			}
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
	if n, u, ok := leading(cells, filled); ok {
		return n, u
	}
	return splitEndings(names)
}

// rateBehind is a rate behind name and unit: "Speed [km/h] @ 100 Hz".
var rateBehind = regexp.MustCompile(`(?i)\s*@\s*[0-9.,]+\s*k?hz$`)

// withoutRates takes the rates off the ends of names.
func withoutRates(cells []string) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = c
		if strings.IndexByte(c, '@') > 0 {
			out[i] = rateBehind.ReplaceAllString(c, "")
		}
	}
	return out
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
	for _, signs := range []string{" ,", " _-/,."} {
		at := strings.LastIndexAny(name, signs)
		if u, ok := quantity.ParseUnit(name[at+1:]); ok && u.Dim == quantity.DimPressure && at > 0 {
			return true // of "lb/in2" the whole, not what is behind the stroke
		}
	}
	return false
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
	for _, sep := range []string{", ", ": ", " / ", " in ", " - ", "_", ".", " ", "-", ":"} {
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

// leading separates units that stand in brackets before the names ("[km/h] Speed"),
// provided that a third of the cells have one that is known.
func leading(cells []string, filled int) (names, units []string, ok bool) {
	names, units = append([]string(nil), cells...), make([]string, len(cells))
	known := 0
	for i, c := range cells {
		for _, b := range brackets {
			if b.close == "" || !strings.HasPrefix(c, b.open) {
				continue
			}
			at := strings.Index(c, b.close)
			if at < 0 || strings.TrimSpace(c[at+len(b.close):]) == "" {
				continue
			}
			unit := strings.TrimSpace(c[len(b.open):at])
			if _, good := quantity.ParseUnit(unit); good {
				known++
				names[i], units[i] = strings.TrimSpace(c[at+len(b.close):]), unit
			}
			break
		}
	}
	return names, units, known >= 2 && 3*known >= filled
}
