package plan

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
)

func everNitrous(m *fitcar.Model) bool {
	for _, p := range m.Passes {
		if p.Obs.Nitrous {
			return true
		}
	}
	return false
}

// ran is the highest setting by gear in the clear passes of the record.
func ran(m *fitcar.Model, x settings) settings {
	r := settings{boost: make([]float64, len(x.boost)), shift: slices.Clone(x.shift)}
	for _, p := range m.Passes {
		if p.Weight < 0.5 {
			continue
		}
		for g := range r.boost {
			if n := len(p.Obs.Target); n > 0 {
				r.boost[g] = max(r.boost[g], p.Obs.Target[min(g, n-1)])
			}
		}
		for g := range r.shift {
			if n := len(p.Obs.ShiftAim); n > 0 {
				r.shift[g] = max(r.shift[g], p.Obs.ShiftAim[min(g, n-1)])
			}
		}
		r.nitrous = r.nitrous || p.Obs.Nitrous
	}
	return r
}

// bounds sets how high each gear's boost may go at all.
func (s *search) bounds() {
	s.upper = make([]float64, len(s.ran.boost))
	baro := s.base.Air.Pressure
	high := slices.Max(s.ran.boost)
	unseen := s.unguardedTop(high + baro)
	for g, b := range s.ran.boost {
		up := modelReach*(high+baro) - baro
		if s.opt.Bold && s.m.Sheet.Limits.MaxBoost > 0 {
			up = s.m.Sheet.Limits.MaxBoost // the owner says how far
		}
		// what a limit reads that no channel shows is not known
		up = min(up, unseen-baro)
		if !s.opt.Bold {
			// torque goes nearly with absolute pressure
			up = min(up, (1+torqueStep)*(b+baro)-baro)
		}
		if l := s.m.Sheet.Limits.MaxBoost; l > 0 {
			up = min(up, l)
		}
		if s.hold {
			up = min(up, b)
		}
		s.upper[g] = max(math.Floor(up/1e3)*1e3, 0)
	}
}

func (s *search) bestSoFar() float64 {
	best := 0.0
	for _, p := range s.m.Passes {
		if p.Weight > 0.5 && !math.IsNaN(p.Obs.Trap) {
			best = max(best, p.Obs.Trap)
		}
	}
	if best == 0 {
		return math.Inf(1)
	}
	return best
}
