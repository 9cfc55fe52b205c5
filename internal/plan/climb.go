package plan

import (
	"context"
	"math"
)

// softOK tells whether gear g (from 0) keeps the soft limits. What the settings
// run before already pass may be passed as often again, not more.
func (s *search) softOK(v, was *verdict, g int) bool {
	a, b := &v.gears[g], &was.gears[g]
	risk := s.opt.Risk
	ok := a.pull <= max(risk, b.pull+0.02) && a.spin <= max(risk, b.spin+0.02)
	if s.m.Sheet.SlipCut {
		ok = ok && a.cut <= max(risk, b.cut+0.02)
	}
	return ok && a.low <= max(risk, b.low+0.1)
}

func (s *search) allOK(v, was *verdict) bool {
	if v.hard > hardChance {
		return false
	}
	for g := range v.gears {
		if !s.softOK(v, was, g) {
			return false
		}
	}
	return s.opt.Bold || v.trap <= s.best+speedStep
}

// climb improves x round by round. was is the verdict of the settings as run.
func (s *search) climb(ctx context.Context, x settings, v, was verdict) (settings, verdict) {
	defer func() { s.part = 0 }()
	x = x.clone() // those of the caller stay
	for round := range searchRounds {
		s.report(round)
		s.part = gearParts[round]
		before := v.score
		for g := range x.boost {
			x, v = s.raise(ctx, x, v, was, g)
			if ctx.Err() != nil {
				return x, v
			}
		}
		if round == 0 { // what follows turns them further
			for g := range x.shift {
				x, v = s.slide(ctx, x, v, was, g)
			}
		}
		if v.score-before < 0.02 && s.part == 1 {
			break
		}
	}
	return x, v
}

// searchRounds is how many rounds a climb has at most.
const searchRounds = 2

// gearParts are the shares of the accepted chance, by round, that one gear's limit may take:
// else the first gear that is raised would leave nothing to those that bring more.
var gearParts = [searchRounds]float64{0.4, 1}

// partOK tells whether the hard limits of gear g (from 0) keep to the gear's part.
func (s *search) partOK(v *verdict, g int) bool {
	for _, l := range v.worst {
		if l.gear == g+1 && l.chance > s.part*hardChance && !s.excused(l) {
			return false
		}
	}
	return true
}

func (s *search) report(round int) {
	if s.opt.Progress != nil {
		s.opt.Progress(round, searchRounds+polishRounds)
	}
}

// raise brings boost of gear g to the highest that gains and holds.
func (s *search) raise(ctx context.Context, x settings, v, was verdict, g int) (settings, verdict) {
	// gears above the highest that is reached make no difference
	lo, hi := x.boost[g], s.upper[g]
	if hi-lo < 1e3 || s.spins(&was, g) {
		return x, v
	}
	// a gear that few passes reach is not raised: they would not show what it does
	if v.gears[g].used < usedShare*float64(v.runs) {
		return x, v
	}
	try := func(b float64) (verdict, bool) {
		y := x.clone()
		y.boost[g] = b
		w, ok := s.glance(ctx, y, &v)
		return w, ok && s.partOK(&w, g) && s.allOK(&w, &was) && w.score > v.score+slopeLeast*(b-x.boost[g])/boostUnit
	}
	if w, ok := try(hi); ok {
		x.boost[g] = hi
		return x, w
	}
	bestB, bestV := lo, v
	for range 6 {
		mid := (lo + hi) / 2
		if hi-lo < 1.5e3 {
			break
		}
		if w, ok := try(mid); ok && w.score >= bestV.score {
			lo, bestB, bestV = mid, mid, w
		} else {
			hi = mid
		}
	}
	x.boost[g] = math.Floor(bestB/1e3) * 1e3
	if x.boost[g] < bestB {
		bestV = s.judge(ctx, x, s.draws)
	}
	return x, bestV
}

// spins tells whether gear g (from 0) is not to be raised: where the tyres slip past their peak
// already, or electronics keep them from it, the model says little about more, and what the gearbox
// takes when they grip again is not in it.
func (s *search) spins(was *verdict, g int) bool {
	q := &was.gears[g]
	return q.spin > 2*s.opt.Risk || s.m.Sheet.SlipCut && q.cut > 2*s.opt.Risk
}

// ease lowers boost in gears whose tyres slip past their peak, or whose electronics keep them from
// it, too often already, until they do not. Where that would cost more than easeCost of expected speed, the gear stays as
// it was run, its chance being told.
func (s *search) ease(ctx context.Context, x settings, v verdict) (settings, verdict, []keptGear) {
	var kept []keptGear
	for g := range x.boost {
		over := func(v *verdict) bool {
			return v.gears[g].pull > s.opt.Risk || s.m.Sheet.SlipCut && v.gears[g].cut > s.opt.Risk
		}
		if !over(&v) || ctx.Err() != nil {
			continue
		}
		lo, hi := s.least(g), x.boost[g]
		var best *settings
		var bestV verdict
		for range 5 {
			y := x.clone()
			y.boost[g] = math.Floor((lo+hi)/2/1e3) * 1e3
			w := s.judge(ctx, y, s.draws)
			if over(&w) {
				hi = y.boost[g]
			} else {
				lo, best, bestV = y.boost[g], &y, w
			}
			if hi-lo < 1.5e3 {
				break
			}
		}
		if best == nil || bestV.trap < v.trap-easeCost {
			cut := s.m.Sheet.SlipCut && v.gears[g].cut > s.opt.Risk
			kept = append(kept, keptGear{gear: g + 1, cut: cut, beyond: best == nil})
			continue
		}
		x, v = *best, bestV
	}
	return x, v, kept
}

// usedShare is the share of passes, 1, in which a gear must be reached to be raised.
const usedShare = 0.5

// easeCost is what obeying a soft limit may cost, m/s at the trap: slip past the peak is
// a limit because it costs speed.
const easeCost = 0.05
