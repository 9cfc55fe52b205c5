package health

import (
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// source is a log's channels, and can tell which quantities were asked for: what was
// made without asking for a quantity does not change with its readings.
type source struct {
	*dictionary.Set
	asked map[quantity.Name]bool // nil: nobody wants to know
}

// First is Set.First.
func (s *source) First(q quantity.Name) *dictionary.Channel {
	s.ask(q)
	return s.Set.First(q)
}

// All is Set.All.
func (s *source) All(q quantity.Name) []*dictionary.Channel {
	s.ask(q)
	return s.Set.All(q)
}

func (s *source) ask(q quantity.Name) {
	if s.asked != nil {
		s.asked[q] = true
	}
}

// reading gives the quantities that are asked for while do runs.
func (s *source) reading(do func()) map[quantity.Name]bool {
	asked := map[quantity.Name]bool{}
	s.asked = asked
	do()
	s.asked = nil
	return asked
}

// group is what watches of one kind read and gave.
type group struct {
	read  map[quantity.Name]bool
	looks []look
}

// kinds are the watches by what they look at, in the order of their looks.
var kinds = []func(*watcher){
	(*watcher).fuel, (*watcher).mixture, (*watcher).exhaust, (*watcher).airPath, (*watcher).torque, (*watcher).fluids,
	(*watcher).heat, (*watcher).driveline, (*watcher).knocking, (*watcher).electric, (*watcher).agreement, (*watcher).atRest,
}

// watches applies every watch that the pass's channels allow.
func (f *frame) watches() []*look {
	if f.n == 0 {
		return nil
	}
	var out []*look
	f.groups = nil
	for _, kind := range kinds {
		g, looks := f.group(kind)
		f.groups = append(f.groups, g)
		out = append(out, looks...)
	}
	return out
}

func (f *frame) group(kind func(*watcher)) (g group, looks []*look) {
	w := &watcher{frame: f}
	g.read = f.set.reading(func() { kind(w) })
	for _, l := range w.looks {
		g.looks = append(g.looks, *l)
	}
	return g, w.looks
}
