package setup

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// reader gathers settings.
type reader struct {
	p   *pass.Pass
	set *dictionary.Set
	out []Setting
}

func (r *reader) add(s Setting) {
	if s.Noted != nil || s.Logged != nil {
		r.out = append(r.out, s)
	}
}

// has tells whether a setting is known already.
func (r *reader) has(name string, gear int) bool {
	return slices.ContainsFunc(r.out, func(s Setting) bool { return s.Name == name && s.Gear == gear })
}

// gears is up to which gear settings are looked for.
func (r *reader) gears(noted int) int {
	for _, g := range r.p.Gears {
		noted = max(noted, g.Gear)
	}
	return noted
}

func (r *reader) span(gear int) *pass.GearSpan {
	for i := range r.p.Gears {
		if r.p.Gears[i].Gear == gear {
			return &r.p.Gears[i]
		}
	}
	return nil
}

// inGear is of over a channel's samples at full throttle in a gear, SI unit.
func (r *reader) inGear(q quantity.Name, gear int, of func([]float64) float64) *float64 {
	c := r.channel(q)
	if c == nil {
		return nil
	}
	var v []float64
	for _, g := range r.p.Gears {
		if g.Gear != gear {
			continue
		}
		for _, w := range g.FullThrottle {
			v = append(v, c.Trace.Slice(w.From, w.To).V...)
		}
	}
	return summed(v, of)
}

// between is of over a channel's samples from a time to another, s on the run clock.
func (r *reader) between(q quantity.Name, from, to float64, of func([]float64) float64) *float64 {
	c := r.channel(q)
	if c == nil {
		return nil
	}
	return summed(slices.Clone(c.Trace.Slice(from, to).V), of)
}

// flowed is 1 when nitrous flowed in the pass, 0 when its channel says that it did not.
func (r *reader) flowed() *float64 {
	to := math.Inf(1)
	if r.p.Finish != nil {
		to = r.p.Finish.Value
	}
	most := r.between(quantity.Nitrous, r.p.Launch.Value, to, slices.Max)
	if most == nil {
		return nil
	}
	flow := 0.0
	if *most > flowing {
		flow = 1
	}
	return &flow
}

func (r *reader) channel(q quantity.Name) *dictionary.Channel {
	if r.set == nil {
		return nil
	}
	return r.set.First(q)
}

func summed(v []float64, of func([]float64) float64) *float64 {
	if len(v) == 0 {
		return nil
	}
	x := of(v)
	return &x
}

// at is a list's value for a gear, nil where it has none.
func at(list []float64, gear int) *float64 {
	if gear < 1 || gear > len(list) {
		return nil
	}
	return known(list[gear-1])
}

func known(x float64) *float64 {
	if math.IsNaN(x) || x == 0 {
		return nil
	}
	return &x
}

func onOff(b *bool) *float64 {
	if b == nil {
		return nil
	}
	x := 0.0
	if *b {
		x = 1
	}
	return &x
}
