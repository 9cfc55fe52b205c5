// Package airpath is the chapter on the air's way through the engine: boost
// before, during and after each shift, its recovery, what the gears saw of boost,
// turbine inlet pressure, temperatures and turbo speed, and the air flow.
//
// Boost about a shift is read from a smoothing spline through the manifold
// pressure whose stiffness the samples themselves choose (package num/trend), not
// from single samples, with the sensor's own lag taken off. Its offset against
// the barometer is an unknown with a prior, learnt where boost has settled at a
// known target. The spread of a recovery joins those of the shift's end, of the
// level to be reached and of the curve where it reaches it.
//
// The chapter works on what motion, gears and force have found; it looks at no
// single car's habits. See docs/boost.md.
package airpath

import (
	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Fill adds to p what the air path shows: in Shifts the boost figures and the
// recovery, in Gears the means over full throttle and the extremes, in AirPath the
// rest. It expects Shifts, Gears, and, where there is one, Power to be filled. What
// could not be had is left nil and told in the sentences returned. A nil note stands
// for a pass about which nothing was written down.
func Fill(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, note *car.PassNote) []string {
	var notes []string
	a := &pass.AirPath{}
	p.AirPath = a
	baro, source, told := Barometer(set, note)
	a.Barometer, a.BarometerSource = baro, source
	notes = append(notes, told...)

	targets := findTargets(set, sheet, note)
	notes = append(notes, targets.notes...)
	for i := range p.Gears {
		if t, ok := targets.of(p.Gears[i].Gear, p.Gears[i].Start, p.Gears[i].End); ok {
			p.Gears[i].BoostTarget = &t.Value
		}
	}
	begins := make([]begin, len(p.Shifts))
	for i := range p.Shifts {
		begins[i] = shiftBegin(p, set, i)
	}
	shiftSpeeds(p, set, begins)
	nitrous(p, set)

	m := manifold(set, baro)
	if m == nil {
		notes = append(notes, "no boost and no recovery after shifts: no channel for manifold pressure")
	} else {
		m.learnOffset(p, targets)
		a.ManifoldOffset = quantity.Estimate{Value: m.offset, SD: m.offsetSD}
		a.ManifoldZero = m.zero + m.offset
		notes = append(notes, targets.learn(p, m)...)
		m.takeUp(p)
		for i := range p.Shifts {
			notes = append(notes, m.shift(p, i, begins[i], targets)...)
		}
		for i := range p.Gears {
			g := &p.Gears[i]
			if v, ok := meanOver(m.gauge, g.FullThrottle); ok {
				v -= m.offset
				g.MeanBoost = &v
			}
		}
	}
	notes = append(notes, backPressure(p, set, m, a)...)
	byGear(p, set)
	charge(p, set, sheet, m, a)
	return notes
}
