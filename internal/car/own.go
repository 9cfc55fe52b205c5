package car

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// SheetsOf picks from sheets those of the car that the notes name for a log, in their
// order. All are returned when the notes say nothing of that log or of its car; a
// sheet that states no name may be anyone's. It is an error when the notes name a car of which there
// is no sheet: numbers worked out with another car's mass and gears would look right
// and be wrong. n may be nil.
func (n *Notes) SheetsOf(sheets []*Sheet, file string) ([]*Sheet, error) {
	p := n.ofLog(file)
	if p == nil || p.Car == "" {
		return sheets, nil
	}
	var own, nameless []*Sheet
	for _, s := range sheets {
		switch {
		case n.isCar(p.Car, s):
			own = append(own, s)
		case !s.named():
			nameless = append(nameless, s)
		}
	}
	if len(own) == 0 {
		own = nameless
	}
	if len(own) > 0 {
		return own, nil
	}
	var have []string
	for _, s := range sheets {
		have = append(have, fmt.Sprintf("%s of %q", s.File, s.Name))
	}
	return nil, fmt.Errorf("%s: %s line %d says that it is a log of car %q, but the sheet given is %s; give that car's sheet, or correct the name", baseOf(file), n.File, p.Line, p.Car, strings.Join(have, " and "))
}

// named tells whether the sheet states a name; else it was called like its file.
func (s *Sheet) named() bool {
	return s.File == "" || slices.ContainsFunc(s.Read, func(r Reading) bool { return r.Table == "" && r.Key == "name" })
}

// ofLog is the first note of a log that names its car, else the first of that log;
// nil when there is none.
func (n *Notes) ofLog(file string) *PassNote {
	all := n.OfLog(file)
	for _, p := range all {
		if p.Car != "" {
			return p
		}
	}
	if len(all) > 0 {
		return all[0]
	}
	return nil
}

// FitAll is Fit with the sheet of each car: of several revisions of one car the last in
// the list. Notes that name no car are fitted only where all sheets are of one car, for
// a list cut to the gears of another would be lost.
func (n *Notes) FitAll(sheets []*Sheet) (notes []string) {
	if n == nil {
		return nil
	}
	last := map[string]*Sheet{}
	var order []string
	for _, s := range sheets {
		k := fold(s.Name)
		if last[k] == nil {
			order = append(order, k)
		}
		last[k] = s
	}
	for _, k := range order {
		notes = append(notes, n.fit(last[k], len(order) == 1)...)
	}
	return notes
}

// isCar tells whether a note's car name means the sheet s: its name or the name of its
// file, either alone or with more words behind ("Marlin 2031", "car_marlin_v2.toml").
// Letter case and punctuation do not count.
func (n *Notes) isCar(name string, s *Sheet) bool {
	want := words(name)
	if len(want) == 0 {
		return false
	}
	begins := func(have []string) bool {
		if len(have) < len(want) {
			return false
		}
		for i := range want {
			if have[i] != want[i] {
				return false
			}
		}
		return true
	}
	return begins(words(s.Name)) || begins(words(strings.TrimPrefix(stem(s.File), "car_")))
}

// words cuts a name at everything that is neither letter nor digit, in lower case.
func words(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

func fold(name string) string { return strings.Join(words(name), " ") }

// baseOf is the last element of a path written on any system, as written.
func baseOf(file string) string {
	return file[strings.LastIndexAny(file, `/\`)+1:]
}
