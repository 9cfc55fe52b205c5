package car

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// LoadNotes reads a notes file. Unknown keys do not stop it: they are in Unread,
// and told in Notes. An error joins an *Error for each value that cannot be, with its
// place, or is the file system's.
func LoadNotes(path string) (*Notes, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseNotes(name, data)
}

// LoadUsableNotes is LoadNotes, but that a value that cannot be is left out, as if it were
// not stated: it is in Wrong, and told in Notes.
func LoadUsableNotes(path string) (*Notes, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseUsableNotes(name, data)
}

// ParseNotes reads the text of a notes file; name serves in messages.
func ParseNotes(name string, data []byte) (*Notes, error) {
	n, err := ParseUsableNotes(name, data)
	if err == nil {
		err = joined(n.Wrong)
	}
	if err != nil {
		return nil, err
	}
	return n, nil
}

// ParseUsableNotes is to LoadUsableNotes as ParseNotes to LoadNotes.
func ParseUsableNotes(name string, data []byte) (*Notes, error) {
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
	b.weather()
	b.same()
	n.Unread, n.Wrong = r.unread, r.complaints()
	slices.SortStableFunc(n.Unread, func(a, b Unread) int { return a.Line - b.Line })
	n.Notes = append(n.Notes, remarks(n.Wrong)...)
	n.Notes = append(n.Notes, sentences(name, n.Unread)...)
	n.Notes = append(n.Notes, r.notes...)
	return n, nil
}

// StrictErr is nil when every key and value of the notes was understood; else it names each
// one that was not, with its line. What sets the next pass refuses such notes.
func (n *Notes) StrictErr() error { return errors.Join(joined(n.Wrong), strictErr(n.File, n.Unread)) }

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
		s.TrapWindow = min(DefaultStrip().TrapWindow, s.Length/2)
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

// slipOrder refuses the times of a slip whose later marks come earlier: a slip of the pen, and
// nobody can say in which of them.
func (b *notesReader) slipOrder(p *PassNote, label string) {
	before, beforeMark := 0.0, ""
	for _, m := range []string{"60 ft", "330 ft", "1/8 mile", "1000 ft", "1/4 mile", "1/2 mile", "1 km", "1 mile"} {
		v, ok := p.Slip.Marks[m]
		if !ok {
			continue
		}
		if v <= before {
			b.r.fail(p.Line, label, fmt.Sprintf("the slip gives %g s at %s but %g s at %s", v, m, before, beforeMark), ErrImpossible)
			clear(p.Slip.Marks)
			return
		}
		before, beforeMark = v, m
	}
}

func (b *notesReader) planned(values map[string]any, path []string, label string, line int) {
	p := Planned{Line: line, AfterIndex: -1, ColdPressure: math.NaN(), LaunchSpeed: math.NaN()}
	a := noAir()
	unread, wrong := len(b.r.unread), len(b.r.wrong)
	read := len(b.r.read)
	fields := plannedFields(&p, a)
	b.r.table(values, path, fields, "", label)
	known := spellings(fields, "")
	for _, rd := range b.r.read[read:] {
		if p.isChange(known[rd.Key].f.dst) {
			p.UnderstoodKeys = append(p.UnderstoodKeys, rd.Key)
		}
	}
	p.HasOtherChanges = len(b.r.unread) > unread || len(b.r.wrong) > wrong || p.Change != "" && len(p.UnderstoodKeys) == 0
	if p.ID == "" {
		b.r.note("%s line %d: a [[planned]] without id cannot be asked for.", b.r.doc.name, line)
	}
	if p.BoostAdd != nil && p.BoostTarget != nil {
		b.r.fail(line, label, "state either boost_add or boost_target by gear, not both", ErrImpossible)
		p.BoostAdd, p.BoostTarget = nil, nil
	}
	if p.ShiftAdd != 0 && p.ShiftAim != nil {
		b.r.fail(line, label, "state either shift_rpm_add or shift_rpm_aim, not both", ErrImpossible)
		p.ShiftAdd, p.ShiftAim = 0, nil
	}
	b.n.Planned = append(b.n.Planned, p)
	b.planAir = append(b.planAir, a)
}

// same refuses a second note for a pass and a second plan of a name, for nobody could
// say which one holds.
func (b *notesReader) same() {
	type place struct {
		file  string
		index int
	}
	seen := map[place]int{}
	b.n.Passes = slices.DeleteFunc(b.n.Passes, func(p PassNote) bool {
		if p.File == "" {
			return false
		}
		at := place{strings.Join(append(folders(p.File), baseName(p.File)), "/"), p.Index}
		first, twice := seen[at]
		if twice {
			b.r.fail(p.Line, "[[pass]]", fmt.Sprintf("file %q, index %d is noted in line %d already", p.File, p.Index, first), ErrImpossible)
		} else {
			seen[at] = p.Line
		}
		return twice
	})
	ids := map[string]int{}
	b.n.Planned = slices.DeleteFunc(b.n.Planned, func(p Planned) bool {
		first, twice := ids[p.ID]
		twice = twice && p.ID != ""
		if twice {
			b.r.fail(p.Line, "[[planned]]", fmt.Sprintf("the id %q is used in line %d already", p.ID, first), ErrImpossible)
		} else {
			ids[p.ID] = p.Line
		}
		return twice
	})
}
