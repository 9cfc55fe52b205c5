package car

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// LoadNotes reads a notes file. Unknown keys do not stop it: they are in Unread,
// and told in Notes. An error is an *Error with the place, or the file system's.
func LoadNotes(path string) (*Notes, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseNotes(name, data)
}

// ParseNotes reads the text of a notes file; name serves in messages.
func ParseNotes(name string, data []byte) (*Notes, error) {
	doc, err := parseTOML(name, data)
	if err != nil {
		return nil, err
	}
	n := &Notes{File: name}
	r := newReader(doc)
	b := &notesReader{r: r, n: n}
	// Strips and events first: weather may need a strip's elevation and heading.
	b.each("strip", b.strip)
	b.each("event", b.event)
	b.each("pass", b.pass)
	b.each("planned", b.planned)
	for _, k := range r.byLine(doc.root, nil) {
		if slices.Contains(noteTables, k) {
			continue
		}
		u := Unread{Line: doc.line(k), Key: k}
		if _, isTable := doc.root[k].(map[string]any); isTable {
			u = Unread{Line: firstLine(doc, k), Key: "[" + k + "]"}
		} else if list, ok := doc.root[k].([]any); ok && len(list) > 0 {
			if _, isTable := list[0].(map[string]any); isTable {
				u = Unread{Line: doc.line(k, "0"), Key: "[[" + k + "]]"}
			}
		}
		if best, ok := nearestOf(k, noteTables); ok {
			u.Nearest = "[[" + best + "]]"
		}
		r.unread = append(r.unread, u)
	}
	if r.err == nil {
		b.weather()
		b.same()
	}
	if r.err != nil {
		return nil, r.err
	}
	n.Unread = r.unread
	slices.SortStableFunc(n.Unread, func(a, b Unread) int { return a.Line - b.Line })
	n.Notes = append(n.Notes, sentences(name, n.Unread)...)
	n.Notes = append(n.Notes, r.notes...)
	return n, nil
}

// StrictErr is nil when every key of the notes was understood; else it names each
// one that was not, with its line. What sets the next pass refuses such notes.
func (n *Notes) StrictErr() error { return strictErr(n.File, n.Unread) }

var noteTables = []string{"pass", "planned", "strip", "event"}

// notesReader builds Notes.
type notesReader struct {
	r       *reader
	n       *Notes
	passAir []*airText
	planAir []*airText
}

// each calls read for every [[name]]; a single [name] counts as one.
func (b *notesReader) each(name string, read func(values map[string]any, path []string, label string, line int)) {
	doc := b.r.doc
	switch v := doc.root[name].(type) {
	case nil:
	case map[string]any:
		read(v, []string{name}, "["+name+"]", firstLine(doc, name))
	case []any:
		for i, e := range v {
			path := []string{name, strconv.Itoa(i)}
			m, ok := e.(map[string]any)
			if !ok {
				b.r.fail(doc.line(name), name, fmt.Sprintf("must be tables headed [[%s]], not %s", name, kindName(e)), ErrType)
				return
			}
			line := doc.line(path...)
			if line == 0 {
				line = doc.line(name)
			}
			read(m, path, fmt.Sprintf("[[%s]]", name), line)
		}
	default:
		b.r.fail(doc.line(name), name, fmt.Sprintf("must be tables headed [[%s]], not %s", name, kindName(v)), ErrType)
	}
}

func (b *notesReader) strip(values map[string]any, path []string, label string, line int) {
	s := DefaultStrip()
	b.r.table(values, path, stripFields(&s), "", label)
	_, s.RolloutSure = values["rollout_m"]
	for k := range values {
		s.RolloutSure = s.RolloutSure || len(k) > 8 && k[:8] == "rollout_"
	}
	if s.ID == "" {
		s.ID = s.Name
	}
	if s.TrapWindow >= s.Length {
		b.r.fail(line, label, "the trap is longer than the strip", ErrImpossible)
	}
	b.n.Strips = append(b.n.Strips, s)
}

func (b *notesReader) event(values map[string]any, path []string, label string, line int) {
	var e Event
	b.r.table(values, path, eventFields(&e), "", label)
	if e.ID == "" {
		e.ID = e.Name
	}
	b.n.Events = append(b.n.Events, e)
}

func (b *notesReader) pass(values map[string]any, path []string, label string, line int) {
	p := PassNote{Line: line, ColdPressure: math.NaN(), LaunchSpeed: math.NaN(), Ethanol: math.NaN(), TrackTemp: math.NaN()}
	p.Slip = Slip{Marks: map[string]float64{}, Speed: map[string]float64{}, Trap: math.NaN(), Reaction: math.NaN()}
	a := noAir()
	fields := passFields(&p, a)
	b.r.table(values, path, fields, "", label)
	for i := range fields {
		switch c := fields[i].dst.(type) {
		case *slipTime:
			if c.v > 0 {
				p.Slip.Marks[c.mark] = c.v
			}
		case *slipSpeed:
			if c.v > 0 {
				p.Slip.Speed[c.mark] = c.v
			}
		}
	}
	if p.File == "" && p.ID == "" {
		b.r.note("%s line %d: a [[pass]] with neither file nor id belongs to no log and is not used.", b.r.doc.name, line)
	}
	b.slipOrder(&p, label)
	if f, ok := b.r.at[&p.When]; ok {
		if _, ok := parseWhen(p.When); !ok {
			b.r.note("%s line %d: when = %q is not a date such as 2031-05-17 10:21; it cannot choose the car's sheet.", b.r.doc.name, f.Line, p.When)
		}
	}
	b.n.Passes = append(b.n.Passes, p)
	b.passAir = append(b.passAir, a)
}

// slipOrder refuses a slip whose later marks come earlier: a slip of the pen.
func (b *notesReader) slipOrder(p *PassNote, label string) {
	before, beforeMark := 0.0, ""
	for _, m := range []string{"60 ft", "330 ft", "1/8 mile", "1000 ft", "1/4 mile", "1/2 mile", "1 km", "1 mile"} {
		v, ok := p.Slip.Marks[m]
		if !ok {
			continue
		}
		if v <= before {
			b.r.fail(p.Line, label, fmt.Sprintf("the slip gives %g s at %s but %g s at %s", v, m, before, beforeMark), ErrImpossible)
			return
		}
		before, beforeMark = v, m
	}
}

func (b *notesReader) planned(values map[string]any, path []string, label string, line int) {
	p := Planned{Line: line, AfterIndex: -1, ColdPressure: math.NaN(), LaunchSpeed: math.NaN()}
	a := noAir()
	unread := len(b.r.unread)
	read := len(b.r.read)
	fields := plannedFields(&p, a)
	b.r.table(values, path, fields, "", label)
	known := spellings(fields, "")
	for _, rd := range b.r.read[read:] {
		if p.isChange(known[rd.Key].f.dst) {
			p.UnderstoodKeys = append(p.UnderstoodKeys, rd.Key)
		}
	}
	p.HasOtherChanges = len(b.r.unread) > unread || p.Change != "" && len(p.UnderstoodKeys) == 0
	if p.ID == "" {
		b.r.note("%s line %d: a [[planned]] without id cannot be asked for.", b.r.doc.name, line)
	}
	if p.BoostAdd != nil && p.BoostTarget != nil {
		b.r.fail(line, label, "state either boost_add or boost_target by gear, not both", ErrImpossible)
	}
	if p.ShiftAdd != 0 && p.ShiftAim != nil {
		b.r.fail(line, label, "state either shift_rpm_add or shift_rpm_aim, not both", ErrImpossible)
	}
	b.n.Planned = append(b.n.Planned, p)
	b.planAir = append(b.planAir, a)
}

// same refuses two notes for one pass and two plans of one name, for nobody could
// say which one holds.
func (b *notesReader) same() {
	type place struct {
		file  string
		index int
	}
	seen := map[place]int{}
	for _, p := range b.n.Passes {
		if p.File == "" {
			continue
		}
		at := place{strings.Join(append(folders(p.File), baseName(p.File)), "/"), p.Index}
		if first, ok := seen[at]; ok {
			b.r.fail(p.Line, "[[pass]]", fmt.Sprintf("file %q, index %d is noted in line %d already", p.File, p.Index, first), ErrImpossible)
		}
		seen[at] = p.Line
	}
	ids := map[string]int{}
	for _, p := range b.n.Planned {
		if first, ok := ids[p.ID]; ok && p.ID != "" {
			b.r.fail(p.Line, "[[planned]]", fmt.Sprintf("the id %q is used in line %d already", p.ID, first), ErrImpossible)
		}
		ids[p.ID] = p.Line
	}
}
