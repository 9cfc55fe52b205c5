package plan

import "context"

// confirmTimes is how many times the search's passes are run under fresh luck to state
// the chances.
const confirmTimes = 5

// confirm judges x under luck that the search has not seen: what was chosen as the
// best of many under one luck looks better there than it is. Gears that then pass a
// limit too often are lowered a little.
func (s *search) confirm(ctx context.Context, x settings, was verdict) (settings, verdict) {
	keep := s.seed
	s.seed = keep + 1
	defer func() { s.seed = keep }()
	v := s.judge(ctx, x, confirmTimes*s.draws)
	for range 20 {
		if ctx.Err() != nil || s.held(&v, &was) {
			break
		}
		x = x.clone()
		moved := false
		for g := range v.gears {
			if !s.softHeld(&v, &was, g) {
				moved = s.step(&x, g, confirmStep) || moved
			}
		}
		if v.hard > hardChance {
			moved = s.lower(&x, &v, confirmStep) || moved
		}
		if !moved {
			break
		}
		v = s.judge(ctx, x, confirmTimes*s.draws)
	}
	return x, v
}

// confirmStep is the share of absolute pressure, 1, by which a gear is lowered at a time.
const confirmStep = 0.012

// slackSoft is by how much more than in the search a soft limit may be passed under
// fresh luck, 0–1: two binomial standard deviations of the search's draws would ask for
// more, but every lowered gear costs speed.
const slackSoft = 0.01

func (s *search) softHeld(v, was *verdict, g int) bool {
	a, b := &v.gears[g], &was.gears[g]
	return a.pull <= max(s.opt.Risk, b.pull+0.02)+slackSoft && a.spin <= max(s.opt.Risk, b.spin+0.02)+slackSoft
}

func (s *search) held(v, was *verdict) bool {
	for g := range v.gears {
		if !s.softHeld(v, was, g) {
			return false
		}
	}
	return v.hard <= hardChance
}

// notSlower gives back x, the settings run, where y, the plan, is not faster under the same
// fresh luck and x holds the hard limits: then the change brings nothing.
func (s *search) notSlower(ctx context.Context, x, y settings, w verdict) (settings, verdict) {
	keep := s.seed
	s.seed = keep + 1
	defer func() { s.seed = keep }()
	v := s.judge(ctx, x, len(w.traps))
	if v.hard <= hardChance && (w.hard > hardChance || v.score >= w.score) {
		return x, v
	}
	return y, w
}
