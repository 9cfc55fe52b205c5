package car

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// field is one thing that a file may state: where it stands, how it may be
// written, what it may be, and where the value goes.
type field struct {
	table   string   // "" is the top of the file
	stems   []string // the first is the one we write
	tail    string   // follows the unit: usual_boost_kpa_by_gear
	dim     dim      // zero for text, flags and whole numbers
	dst     any      // *string, *bool, **bool, *int, *[]int, *float64, *[]float64, *quantity.Estimate, *map[string]string
	limits  limits   // what is possible, in SI
	likely  limits   // what is usual, in SI; outside it a note asks
	rel     float64  // standard deviation of an estimate as stated by people, relative
	abs     float64  // the same, absolute in SI
	example string   // a TOML value in the first unit
	doc     string   // what it is
	help    string   // what stating it brings; "" when little
	basic   bool     // stands open in the commented sheet
	words   []string // permitted text, lower case; nil any
	other   []string // further permitted words, not shown
}

// limits bound a value, both ends included unless open says so for the lower
// one. The zero value means no bounds.
type limits struct {
	lo, hi float64 // in the field's SI unit
	open   bool    // lo itself is not allowed
}

func above(lo float64) limits       { return limits{lo: lo, hi: math.Inf(1), open: true} }
func atLeast(lo float64) limits     { return limits{lo: lo, hi: math.Inf(1)} }
func between(lo, hi float64) limits { return limits{lo: lo, hi: hi} }

func (l limits) none() bool { return l == limits{} }

// hold tells whether x, in SI, is within; text says what it must be, in unit u.
func (l limits) hold(x float64, u unit) (text string, ok bool) {
	if l.none() {
		return "", true
	}
	show := func(si float64) string {
		return strconv.FormatFloat((si-u.offset)/u.factor, 'g', 6, 64)
	}
	// Unit factors round: 300 km/h must not fail a limit of 300 km/h.
	slack := 1e-9 * math.Max(math.Abs(l.lo), 1e-12)
	low := x < l.lo-slack || l.open && x <= l.lo
	high := x > l.hi+1e-9*math.Abs(l.hi)
	if !low && !high {
		return "", true
	}
	switch {
	case math.IsInf(l.hi, 1) && l.open:
		return "must be more than " + show(l.lo), false
	case math.IsInf(l.hi, 1):
		return "must be at least " + show(l.lo), false
	case l.open:
		return "must be more than " + show(l.lo) + " and at most " + show(l.hi), false
	}
	return "must lie from " + show(l.lo) + " to " + show(l.hi), false
}

// spelling is one way to write a field's key.
type spelling struct {
	f    *field
	unit unit
	sd   bool // the key states the standard deviation
}

// spellings lists every key of the fields of one table.
func spellings(fields []field, table string) map[string]spelling {
	m := map[string]spelling{}
	for i := range fields {
		f := &fields[i]
		if f.table != table {
			continue
		}
		units := f.dim.units
		if units == nil {
			units = plain.units
		}
		for _, stem := range f.stems {
			for _, u := range units {
				m[key(stem, u.suffix, f.tail)] = spelling{f, u, false}
				if _, ok := f.dst.(*quantity.Estimate); ok {
					m[key(stem+"_sd", u.suffix, f.tail)] = spelling{f, unit{u.suffix, u.factor, 0}, true}
				}
			}
		}
	}
	return m
}

// mainKey is the field's key in its first unit.
func (f *field) mainKey() string {
	u := ""
	if len(f.dim.units) > 0 {
		u = f.dim.units[0].suffix
	}
	return key(f.stems[0], u, f.tail)
}

// Reading is one key that was read, for showing.
type Reading struct {
	Line  int
	Table string // without brackets
	Key   string
	Text  string // the value as written, normalised
}

// reader puts the keys of one file where they belong.
type reader struct {
	doc    *document
	unread []Unread
	near   map[string]string // the nearest known key by table and key
	notes  []string
	read   []Reading
	at     map[any]Reading // by field.dst
	wrong  []*Error        // values that cannot be

	unusual []unusual // values outside what is usual
}

// unusual is a value outside what is usual.
type unusual struct {
	text string // "[table] key = value"
	dst  any    // field.dst
}

func newReader(doc *document) *reader {
	return &reader{doc: doc, notes: doc.notes, at: map[any]Reading{}, near: map[string]string{}}
}

// fail keeps a complaint; what it is about is left out.
func (r *reader) fail(line int, key, text string, kind error) {
	r.wrong = append(r.wrong, &Error{File: r.doc.name, Line: line, Key: key, Text: text, Kind: kind})
}

// complaints are what fail was told, in the order of the file.
func (r *reader) complaints() []*Error {
	slices.SortStableFunc(r.wrong, func(a, b *Error) int { return a.Line - b.Line })
	return r.wrong
}

func (r *reader) note(format string, args ...any) {
	r.notes = append(r.notes, fmt.Sprintf(format, args...))
}

// byLine orders the keys of a table as they stand in the file.
func (r *reader) byLine(table map[string]any, path []string) []string {
	keys := make([]string, 0, len(table))
	line := make(map[string]int, len(table))
	for k := range table {
		keys = append(keys, k)
		line[k] = r.doc.line(append(slices.Clone(path), k)...)
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Or(line[a]-line[b], strings.Compare(a, b)) })
	return keys
}

// table reads one table. label is as people see it: "[body]"; skip names keys
// that somebody else reads.
func (r *reader) table(values map[string]any, path []string, fields []field, name, label string, skip ...string) {
	known := spellings(fields, name)
	var sds []func()
	for _, k := range r.byLine(values, path) {
		if slices.Contains(skip, k) {
			continue
		}
		line := r.doc.line(append(slices.Clone(path), k)...)
		sp, ok := known[k]
		if !ok {
			u := Unread{Line: line, Table: label, Key: k}
			at := label + " " + k
			if _, done := r.near[at]; !done && len(r.near) < maxNearest {
				r.near[at] = nearest(k, known, fields, name)
			}
			u.Nearest = r.near[at]
			r.unread = append(r.unread, u)
			continue
		}
		full := k
		if label != "" {
			full = label + " " + k
		}
		if sp.sd {
			v, est := values[k], sp.f.dst.(*quantity.Estimate)
			sds = append(sds, func() { // after the value itself
				x, ok := number(v)
				switch {
				case !ok:
					r.fail(line, full, "must be a number, not "+kindName(v), ErrType)
				case x < 0:
					r.fail(line, full, "a standard deviation cannot be negative", ErrImpossible)
				default:
					est.SD = x * sp.unit.factor
				}
			})
			continue
		}
		if old, twice := r.at[sp.f.dst]; twice {
			r.fail(line, full, fmt.Sprintf("the same thing is stated in line %d as %s", old.Line, old.Key), ErrImpossible)
			continue
		}
		if r.value(sp, values[k], line, full) {
			rd := Reading{line, name, k, show(values[k])}
			r.read = append(r.read, rd)
			r.at[sp.f.dst] = rd
		}
	}
	for _, f := range sds {
		f()
	}
}

// maxNearest bounds the work on a file that is none of ours: only so many
// different unknown keys are given a nearest known one.
const maxNearest = 30

// maxGears is the longest list by gear that makes sense.
const maxGears = 12
