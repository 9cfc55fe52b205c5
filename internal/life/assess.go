package life

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

const (
	// usualDue is the sum of damage at which a part is taken as due: Miner's sum at failure is
	// commonly 0.3 to 3 (fatigue textbooks, from memory).
	usualDue = 0.3
	// usualBeta is the Weibull slope that is assumed for wear and fatigue where nothing else is
	// stated, 1; common practice, no source: 2 to 3.
	usualBeta = 2.0
	// betaSpread is the factor either way over which the assumed slope is varied; the least
	// favourable answer is told.
	betaSpread = 1.4
	z95        = 1.6448536269514722 // standard normal quantile at 0.95
	recent     = 3                  // passes that tell what the next will take
)

// tally is one part with its passes.
type tally struct {
	entry *car.PartEntry
	part  *Part
	by    []passSeen
}

type passSeen struct {
	pass *Pass
	seen seen
}

// Assess tells what the parts of a file have endured in the passes, which must be in order
// of time.
func Assess(parts *car.Parts, passes []Pass) *Result {
	r := &Result{Parts: []Part{}, Kinds: []Kind{}, Notes: append([]string{}, parts.Notes...), Cautions: cautions(), Method: methods()}
	var all []*tally
	for i := range parts.Parts {
		t := newTally(&parts.Parts[i], passes)
		t.sum()
		all = append(all, t)
	}
	kinds := pool(all)
	for _, t := range all {
		t.due(kinds[t.entry.Kind])
		r.Parts = append(r.Parts, *t.part)
	}
	for _, name := range orderOf(all) {
		r.Kinds = append(r.Kinds, kinds[name].Kind)
	}
	return r
}

func newTally(e *car.PartEntry, passes []Pass) *tally {
	t := &tally{entry: e, part: &Part{
		Serial: e.Serial, Name: e.Name, Kind: e.Kind, Failed: e.Failed, InCar: e.Removed == "" && !e.Failed, Load: string(e.Load), Passes: e.PassesBefore,
		Levels: []LevelTime{}, Cycles: []Bin{}, Due: []string{}, Look: []string{}, Notes: []string{},
	}}
	missing := map[string]int{}
	for i := range passes {
		p := &passes[i]
		if e.Car != "" && p.Car != "" && !strings.EqualFold(e.Car, p.Car) {
			continue
		}
		in, sure := e.Ran(p.When)
		if !in {
			continue
		}
		t.part.Passes++
		if !sure {
			t.part.Unsure++
		}
		if p.NoLog {
			missing["of which there is no log"]++
			continue
		}
		t.part.Recorded++
		s := look(p, e)
		if e.Load != "" && !s.known {
			missing["whose log does not tell "+string(e.Load)]++
		}
		t.by = append(t.by, passSeen{p, s})
	}
	for why, n := range missing {
		t.part.Notes = append(t.part.Notes, fmt.Sprintf("%s: what they took is not in the figures, which are at least this.", quantity.Count(n, "pass "+why, "passes "+why)))
	}
	slices.Sort(t.part.Notes)
	if t.part.Unsure > 0 {
		t.part.Notes = append(t.part.Notes, fmt.Sprintf("%s counted whose day does not tell whether the part was in the car.", quantity.Count(t.part.Unsure, "pass is", "passes are")))
	}
	return t
}

// sum adds up what the passes did.
func (t *tally) sum() {
	e, p := t.entry, t.part
	for _, l := range e.Levels {
		p.Levels = append(p.Levels, LevelTime{Level: l})
	}
	p.Inspected = lastInspection(e)
	for i := range t.by {
		s := &t.by[i].seen
		p.FullTime += s.full
		for k := range p.Levels {
			p.Levels[k].Time += s.levels[k]
		}
		if !math.IsNaN(s.highest) && (p.Highest == nil || s.highest > *p.Highest) {
			v := s.highest
			p.Highest = &v
		}
		p.Over += s.over
		p.OverTime += s.overFor
		if s.over > 0 {
			if p.OverTop == nil || s.overTop > *p.OverTop {
				v := s.overTop
				p.OverTop = &v
			}
			if newer(t.by[i].pass.When, p.Inspected) {
				p.OverNew += s.over
			}
		}
	}
	if torque(e.Load) {
		t.damage()
	}
}

// lastInspection is the day of the latest inspection, as written; "" without any.
func lastInspection(e *car.PartEntry) string {
	last := ""
	for _, i := range e.Inspections {
		// ISO days and times compare as text.
		if i.When > last {
			last = i.When
		}
	}
	return last
}

// newer tells whether a pass was after an inspection; a pass of unknown time counts as
// after.
func newer(when, inspected string) bool {
	return when == "" || inspected == "" || strings.Replace(when, "T", " ", 1) >= strings.Replace(inspected, "T", " ", 1)
}
