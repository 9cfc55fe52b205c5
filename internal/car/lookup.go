package car

import (
	"fmt"
	"slices"
	"strings"
)

// For finds the note of a pass by its log file (letter case does not count) and its
// index, 0-based in time order. Folders decide only between files of one name. If no note
// has that very name, one with another ending will do (a log that was packed or converted). Nil when
// there is none; n may be nil.
func (n *Notes) For(file string, index int) *PassNote {
	if n == nil {
		return nil
	}
	for _, same := range []func(string) string{baseName, unpackedName, stem} {
		var best *PassNote
		bestDepth := -1
		for i := range n.Passes {
			p := &n.Passes[i]
			if p.File == "" || p.Index != index || same(p.File) != same(file) {
				continue
			}
			if d := commonTail(p.File, file); d > bestDepth {
				best, bestDepth = p, d
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// OfLog finds the notes of all passes of a log, in the order of their index, by the
// rules of For. n may be nil.
func (n *Notes) OfLog(file string) []*PassNote {
	if n == nil {
		return nil
	}
	var indices []int
	for i := range n.Passes {
		if p := &n.Passes[i]; p.File != "" && stem(p.File) == stem(file) && !slices.Contains(indices, p.Index) {
			indices = append(indices, p.Index)
		}
	}
	slices.Sort(indices)
	var out []*PassNote
	for _, i := range indices {
		out = append(out, n.For(file, i))
	}
	return out
}

// ByID finds the note of a pass by its id; of several the last. Nil when there is
// none; n may be nil.
func (n *Notes) ByID(id string) *PassNote {
	if n == nil || id == "" {
		return nil
	}
	for i := len(n.Passes) - 1; i >= 0; i-- {
		if n.Passes[i].ID == id {
			return &n.Passes[i]
		}
	}
	return nil
}

// PlannedByID finds a planned pass; nil when there is none. n may be nil.
func (n *Notes) PlannedByID(id string) *Planned {
	if n == nil {
		return nil
	}
	for i := range n.Planned {
		if n.Planned[i].ID == id {
			return &n.Planned[i]
		}
	}
	return nil
}

// PlanAfter is the pass planned as a change of q, of several the one noted last; nil without.
func (n *Notes) PlanAfter(q *PassNote) *Planned {
	if n == nil || q == nil {
		return nil
	}
	for i := len(n.Planned) - 1; i >= 0; i-- {
		if p := &n.Planned[i]; n.After(p) == q {
			return p
		}
	}
	return nil
}

// After finds the pass against which a plan states its changes: by the id in After or,
// if no pass has that, by the file; of several by AfterIndex, or the last. Nil when it is
// not noted.
func (n *Notes) After(p *Planned) *PassNote {
	if n == nil || p == nil || p.After == "" {
		return nil
	}
	for _, same := range []func(q *PassNote) bool{
		func(q *PassNote) bool { return q.ID == p.After },
		func(q *PassNote) bool { return q.File != "" && baseName(q.File) == baseName(p.After) },
		func(q *PassNote) bool { return q.File != "" && unpackedName(q.File) == unpackedName(p.After) },
		func(q *PassNote) bool { return q.File != "" && stem(q.File) == stem(p.After) },
	} {
		var best *PassNote
		for i := range n.Passes {
			q := &n.Passes[i]
			if same(q) && (p.AfterIndex < 0 || q.Index == p.AfterIndex) && (best == nil || q.Index >= best.Index) {
				best = q
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// WeatherFor is the weather expected for a planned pass: what the plan states, and
// for the rest that of the pass it follows. Figures that nobody gave are NaN.
func (n *Notes) WeatherFor(p *Planned) Weather {
	w := p.Weather
	q := n.After(p)
	if q == nil {
		return w
	}
	fill := func(dst *float64, from float64) {
		if !have(*dst) {
			*dst = from
		}
	}
	fill(&w.AirTemp, q.Weather.AirTemp)
	fill(&w.Pressure, q.Weather.Pressure)
	fill(&w.Humidity, q.Weather.Humidity)
	fill(&w.Gust, q.Weather.Gust)
	fill(&w.Crosswind, q.Weather.Crosswind)
	if !have(w.Headwind) {
		w.Headwind, w.HeadwindS = q.Weather.Headwind, q.Weather.HeadwindS
	}
	return w
}

// StripFor is the strip of a pass: by the strip's id in the pass, by the event's
// strip, by a strip called like the event, else the only strip of the file, else
// DefaultStrip. p may be nil: then the only strip, or the default.
func (n *Notes) StripFor(p *PassNote) Strip {
	s, _ := n.FindStrip(p)
	return s
}

// FindStrip is StripFor, and known tells whether the notes describe that strip.
func (n *Notes) FindStrip(p *PassNote) (s Strip, known bool) {
	if p == nil {
		return n.stripFor("", "")
	}
	return n.stripFor(p.Strip, p.Event)
}

// EventFor is the event of a pass; nil when the notes do not describe it.
func (n *Notes) EventFor(p *PassNote) *Event {
	if n == nil || p == nil {
		return nil
	}
	return n.event(p.Event)
}

// Place is what people call where a pass was run: the name of its event, of its strip, or
// else the event's id.
func (n *Notes) Place(event, strip string) string {
	if n == nil {
		return event
	}
	if e := n.event(event); e != nil && e.Name != "" {
		return e.Name
	}
	if s, known := n.stripFor(strip, event); known && s.Name != "" {
		return s.Name
	}
	return event
}

func (n *Notes) event(id string) *Event {
	for i := range n.Events {
		if id != "" && strings.EqualFold(n.Events[i].ID, id) {
			return &n.Events[i]
		}
	}
	return nil
}

func (n *Notes) stripFor(strip, event string) (Strip, bool) {
	if n == nil {
		return DefaultStrip(), false
	}
	names := []string{strip}
	if strip == "" {
		if e := n.event(event); e != nil {
			names = append(names, e.Strip)
		}
		names = append(names, event)
	}
	for _, name := range names {
		for _, s := range n.Strips {
			if name != "" && strings.EqualFold(s.ID, name) {
				return s, true
			}
		}
	}
	if strip == "" && len(n.Strips) == 1 {
		return n.Strips[0], true
	}
	return DefaultStrip(), false
}

// stripOfPlan is the strip of a planned pass: its own, or that of the pass it
// follows.
func (n *Notes) stripOfPlan(p *Planned) (Strip, bool) {
	if p.Strip != "" || p.Event != "" {
		return n.stripFor(p.Strip, p.Event)
	}
	return n.FindStrip(n.After(p))
}

// StripForPlan is the strip of a planned pass; see StripFor.
func (n *Notes) StripForPlan(p *Planned) Strip {
	s, _ := n.stripOfPlan(p)
	return s
}

// OtherCar is the car whose pass the planned one follows, where that is not the car s; ""
// where it is, or nobody says.
func (n *Notes) OtherCar(p *Planned, s *Sheet) string {
	q := n.After(p)
	if q == nil || s == nil || q.Car == "" || n.isCar(q.Car, s) {
		return ""
	}
	return q.Car
}

// Fit lengthens every list by gear of the notes that belong to the car s (or to no
// named car) to the car's gears, the last entry holding on, and returns a sentence for
// each list that is too long. A single figure thus counts for all gears.
func (n *Notes) Fit(s *Sheet) (notes []string) { return n.fit(s, true) }

// fit is Fit; unnamed says whether notes of no named car count too.
func (n *Notes) fit(s *Sheet, unnamed bool) (notes []string) {
	if n == nil || s == nil || len(s.Gears) == 0 {
		return nil
	}
	g := len(s.Gears)
	fit := func(list *[]float64, want int, line int, what string) {
		if len(*list) > g {
			notes = append(notes, fmt.Sprintf("%s line %d: %d %s for a gearbox with %d gears; the last are not used.", n.File, line, len(*list), what, g))
			*list = (*list)[:g]
		}
		*list = extend(*list, want)
	}
	own := func(name string) bool { return name == "" && unnamed || n.isCar(name, s) }
	for i := range n.Passes {
		if p := &n.Passes[i]; own(p.Car) {
			fit(&p.BoostTarget, g, p.Line, "boost targets")
			fit(&p.ShiftAim, g-1, p.Line, "shift speeds")
		}
	}
	for i := range n.Planned {
		p := &n.Planned[i]
		if q := n.After(p); q == nil && unnamed || q != nil && own(q.Car) {
			fit(&p.BoostAdd, g, p.Line, "boost changes")
			fit(&p.BoostTarget, g, p.Line, "boost targets")
			fit(&p.ShiftAim, g-1, p.Line, "shift speeds")
		}
	}
	return notes
}
