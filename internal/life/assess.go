package life

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/num/rainflow"
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
		t.part.Notes = append(t.part.Notes, fmt.Sprintf("%s: what they took is not in the figures, which are at least this.", plural(n, "pass "+why, "passes "+why)))
	}
	slices.Sort(t.part.Notes)
	if t.part.Unsure > 0 {
		t.part.Notes = append(t.part.Notes, fmt.Sprintf("%s counted whose day does not tell whether the part was in the car.", plural(t.part.Unsure, "pass is", "passes are")))
	}
	return t
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
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

// damage sums cycles and Miner's damage. The relative error of torque is taken as common to
// all passes: loss, mass and radius err the same way in each.
func (t *tally) damage() {
	e, p := t.entry, t.part
	p.Counting = "rainflow"
	if e.Revolutions {
		p.Counting = "revolutions"
	}
	var cycles []rainflow.Cycle
	rel := 0.0
	var each []float64
	for i := range t.by {
		c := t.by[i].seen.counted(e)
		cycles = append(cycles, c...)
		rel = math.Max(rel, t.by[i].pass.TorqueSD)
		if e.Slope > 0 && t.by[i].seen.known {
			each = append(each, rainflow.Damage(c, e.Slope, 1000, 1)) // any reference: only ratios are told
		}
	}
	p.Cycles = bins(cycles)
	if !(e.Slope > 0) || len(cycles) == 0 {
		return
	}
	eq, n := rainflow.Equivalent(cycles, e.Slope)
	p.Equivalent, p.EquivalentN = spread(eq, rel), n
	t.hardest(each)
	if !(e.Reference > 0) {
		return
	}
	d := spread(rainflow.Damage(cycles, e.Slope, e.Reference, e.Cycles), e.Slope*rel)
	d.Value, d.Low, d.High = d.Value+e.DamageBefore, d.Low+e.DamageBefore, d.High+e.DamageBefore
	d.AtLeast = t.unseen() > 0
	p.Damage = d
	p.DueDamage = usualDue
	if e.DueDamage > 0 {
		p.DueDamage = e.DueDamage
	}
}

// unseen counts the passes whose damage is neither counted nor stated.
func (t *tally) unseen() int {
	n := t.part.Passes - t.recordedKnown()
	if t.entry.DamageBefore > 0 {
		n -= t.entry.PassesBefore
	}
	return max(0, n)
}

// recordedKnown counts the passes whose log tells the load.
func (t *tally) recordedKnown() int {
	n := 0
	for i := range t.by {
		if t.by[i].seen.known {
			n++
		}
	}
	return n
}

// hardest finds the pass that took most, against the median.
func (t *tally) hardest(each []float64) {
	if len(each) < 2 {
		return
	}
	s := slices.Clone(each)
	slices.Sort(s)
	usual := (s[(len(s)-1)/2] + s[len(s)/2]) / 2
	best, k := -1.0, -1
	j := 0
	for i := range t.by {
		if !t.by[i].seen.known {
			continue
		}
		if each[j] > best {
			best, k = each[j], i
		}
		j++
	}
	if k >= 0 && usual > 0 {
		t.part.Hardest = &Hardest{t.by[k].pass.Name, best / usual}
	}
}

// spread is a figure whose logarithm has the standard deviation rel, 1.
func spread(v, rel float64) *Figure {
	return &Figure{Value: v, Low: v * math.Exp(-z95*rel), High: v * math.Exp(z95*rel)}
}

// bins puts cycles into ten steps of the greatest range; empty ones are left out.
func bins(cycles []rainflow.Cycle) []Bin {
	const steps = 10
	top := 0.0
	for _, c := range cycles {
		top = math.Max(top, c.Range())
	}
	out := []Bin{}
	if !(top > 0) {
		return out
	}
	var n [steps]float64
	for _, c := range cycles {
		n[min(steps-1, max(0, int(math.Ceil(c.Range()/top*steps-1e-9))-1))] += c.Count
	}
	for i, v := range n {
		if v > 0 {
			out = append(out, Bin{top * float64(i+1) / steps, v})
		}
	}
	return out
}

// due decides whether the part is due, and how many passes it has left.
func (t *tally) due(k *pooled) {
	e, p := t.entry, t.part
	if !p.InCar {
		return
	}
	left := func(n int, by string) {
		if n < 0 {
			n = 0
		}
		if p.Left == nil || n < p.Left.Passes {
			p.Left = &Left{n, by}
		}
	}
	if e.DuePasses > 0 {
		left(e.DuePasses-p.Passes, "number of passes")
		if p.Passes >= e.DuePasses {
			p.Due = append(p.Due, fmt.Sprintf("%d passes of %d", p.Passes, e.DuePasses))
		}
	}
	if e.DueTime > 0 {
		if per := t.most(func(s *seen) float64 { return s.full }); per > 0 {
			left(int((e.DueTime-p.FullTime)/per), "time at full throttle")
		}
		if p.FullTime > e.DueTime-1e-6 { // added up sample by sample
			p.Due = append(p.Due, fmt.Sprintf("%.0f s at full throttle of %.0f", p.FullTime, e.DueTime))
		}
	}
	if d := p.Damage; d != nil {
		per := t.most(func(s *seen) float64 { return rainflow.Damage(s.counted(e), e.Slope, e.Reference, e.Cycles) })
		// The bound counts, for sum and pass alike: both err the same way.
		if rate := per * d.High / math.Max(d.Value, 1e-300); rate > 0 {
			// A pass that nobody saw is taken to have been as hard.
			left(int((p.DueDamage-d.High)/rate)-t.unseen(), "damage")
		}
		switch {
		case d.Value >= p.DueDamage:
			p.Due = append(p.Due, fmt.Sprintf("damage of %.2g (%.2g to %.2g) of %.2g", d.Value, d.Low, d.High, p.DueDamage))
		case d.High >= p.DueDamage:
			p.Due = append(p.Due, fmt.Sprintf("damage may have reached %.2g: %.2g (%.2g to %.2g)", p.DueDamage, d.Value, d.Low, d.High))
		}
	}
	if p.OverNew > 0 {
		p.Look = append(p.Look, fmt.Sprintf("its limit was passed %s since it was last looked at", plural(p.OverNew, "time", "times")))
	}
	if k != nil && k.life != nil {
		c := k.next(float64(p.Passes))
		p.NextFail = &c
		p.shown = k.Failures > 0
		// Without failures the bound says only how little is known; it is no warning.
		if c > 0.05 && k.Failures > 0 {
			p.Look = append(p.Look, fmt.Sprintf("parts of its kind fail in the next pass with a chance of up to %.0f %%", 100*c))
		}
	}
}

// most is the greatest of f over the latest passes whose load is known, own unit of f.
func (t *tally) most(f func(s *seen) float64) float64 {
	top, n := 0.0, 0
	for i := len(t.by) - 1; i >= 0 && n < recent; i-- {
		s := &t.by[i].seen
		if !s.known && t.entry.Load != "" {
			continue
		}
		top = math.Max(top, f(s))
		n++
	}
	return top
}
