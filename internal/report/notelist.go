package report

import (
	"fmt"
	"slices"
	"strings"

	"traplight/internal/car"
)

// noteList collects sentences, each once, in order.
type noteList struct {
	all  []string
	seen map[string]bool
}

func (n *noteList) add(prefix string, notes ...string) {
	for _, s := range notes {
		s = prefix + s
		if n.seen[s] {
			continue
		}
		if n.seen == nil {
			n.seen = map[string]bool{}
		}
		n.seen[s] = true
		n.all = append(n.all, s)
	}
}

// addPasses adds the notes of a log's passes: those of every pass once, the
// others with the pass's number.
func (n *noteList) addPasses(prefix string, passes []Pass) {
	inAll := func(note string) bool {
		for i := range passes {
			if !slices.Contains(passes[i].Notes, note) {
				return false
			}
		}
		return true
	}
	for i := range passes {
		for _, note := range passes[i].Notes {
			if inAll(note) {
				n.add(prefix, note)
			} else {
				n.add(fmt.Sprintf("%spass %d: ", prefix, passes[i].Index+1), note)
			}
		}
	}
}

// OtherCar is in a note that doubts whether log and sheet are of one car. Nothing that rests on
// the sheet is worth reading then, so that it stands first.
const OtherCar = "is this another car's log"

// isFirst tells whether a note stands before all that is told.
func isFirst(note string) bool { return car.NotTaken(note) || strings.Contains(note, OtherCar) }

// doubtsFirst puts the notes that doubt log and sheet behind that on unread keys and before
// all others.
func doubtsFirst(notes []string) []string {
	rank := func(note string) int {
		switch {
		case car.NotTaken(note):
			return 0
		case isFirst(note):
			return 1
		}
		return 2
	}
	slices.SortStableFunc(notes, func(a, b string) int { return rank(a) - rank(b) })
	return notes
}

// unreadFirst is the first line of the notes: every key of sheets and notes that was not
// read and every value that cannot be, in one line, so that none can be overlooked; nothing
// when all was taken.
func unreadFirst(sources []Source, first []string) []string {
	var all noteList
	add := func(notes []string) {
		for _, t := range notes {
			if car.NotTaken(t) {
				all.add("", t)
			}
		}
	}
	add(first)
	for i := range sources {
		if sources[i].Sheet != nil {
			add(sources[i].Sheet.Notes)
		}
	}
	if len(all.all) == 0 {
		return nil
	}
	return []string{strings.Join(all.all, " ")}
}

// rest is notes without those of what was not taken.
func rest(notes []string) (out []string) {
	for _, t := range notes {
		if !car.NotTaken(t) {
			out = append(out, t)
		}
	}
	return out
}
