package life

import (
	"cmp"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/num/rainflow"
)

// seen is what one pass did to one part.
type seen struct {
	full    float64   // s at full throttle in the part's gears
	levels  []float64 // s above each level
	highest float64   // own unit of the load; NaN none
	over    int       // times beyond the limit
	overFor float64   // s beyond it
	overTop float64   // own unit of the load, highest beyond it
	cycles  []rainflow.Cycle
	turns   []rainflow.Cycle // by torque from zero, for counting by revolutions
	known   bool             // the load was recorded
}

const (
	// gateShare of the highest torque is the least turn that counts as one, 1: smaller ones are
	// noise, and at a slope of 3 a hundred of them do less than one full cycle.
	gateShare = 0.04
	// joined is the gap, s, within which two stays beyond a limit are one event.
	joined = 0.2
)

// look counts one pass for one part.
func look(p *Pass, part *car.PartEntry) seen {
	s := seen{levels: make([]float64, len(part.Levels)), highest: math.NaN()}
	x := p.Loads[part.Load]
	bears := func(i int) bool {
		g := p.Gear[i]
		return len(part.Gears) == 0 || slices.Contains(part.Gears, g)
	}
	for i := range p.Gear {
		if bears(i) && i < len(p.Full) && p.Full[i] {
			s.full += p.Step
		}
	}
	if part.Load == "" || x == nil {
		return s
	}
	history := []float64{0}
	top, last := 0.0, math.Inf(-1)
	turns := map[int]float64{} // turns by torque in steps of 1 % of a decade
	for i, v := range x {
		if math.IsNaN(v) {
			continue
		}
		s.known = true
		if !bears(i) {
			history = append(history, 0)
			continue
		}
		if !(v <= s.highest) {
			s.highest = v
		}
		for k, l := range part.Levels {
			if v > l {
				s.levels[k] += p.Step
			}
		}
		if part.Over > 0 && v > part.Over {
			at := float64(i) * p.Step
			if at-last > joined {
				s.over++
			}
			last = at
			s.overFor += p.Step
			s.overTop = math.Max(s.overTop, v)
		}
		history = append(history, v)
		top = math.Max(top, math.Abs(v))
		if w := p.Engine[i]; part.Revolutions && v > 0 && !math.IsNaN(w) {
			turns[int(math.Ceil(math.Log10(v)*100))] += w * p.Step / (2 * math.Pi)
		}
	}
	if torque(part.Load) {
		history = append(history, 0)
		s.cycles = rainflow.Count(rainflow.Reversals(history, gateShare*top))
	}
	for k, n := range turns {
		// The upper edge of the step: damage is never told too small, by 2.3 % of torque at most.
		s.turns = append(s.turns, rainflow.Cycle{To: math.Pow(10, float64(k)/100), Count: n})
	}
	slices.SortFunc(s.turns, func(a, b rainflow.Cycle) int { return cmp.Compare(a.To, b.To) })
	return s
}

func torque(l car.Load) bool {
	return l == car.CrankTorque || l == car.GearboxTorque || l == car.HubTorque
}

// counted is what damage is summed over: rainflow cycles, or turns as cycles from zero.
func (s *seen) counted(part *car.PartEntry) []rainflow.Cycle {
	if part.Revolutions {
		return s.turns
	}
	return s.cycles
}
