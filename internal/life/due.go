package life

import (
	"fmt"
	"math"

	"traplight/internal/num/rainflow"
	"traplight/internal/quantity"
)

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
		p.Look = append(p.Look, fmt.Sprintf("its limit was passed %s since it was last looked at", quantity.Count(p.OverNew, "time", "times")))
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
