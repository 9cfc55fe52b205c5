package plan

import (
	"context"
	"math"
	"slices"
)

// confirmTimes is how many times the search's passes are run under fresh luck to state
// the chances.
const confirmTimes = 5

// confirm judges x under luck that the search has not seen: what was chosen as the
// best of many under one luck looks better there than it is. Gears that then pass a
// limit too often, or a soft one oftener than from, the settings that the search began
// with, does under the same luck, are lowered a little. By the slopes l of the search, nil
// where there are none, what this luck leaves of the accepted chance is used, or what it takes
// given back.
func (s *search) confirm(ctx context.Context, x, from settings, l *slopes) (settings, verdict) {
	keep := s.seed
	s.seed = keep + 1
	defer func() { s.seed = keep }()
	was := s.judge(ctx, from, confirmTimes*s.draws)
	if as := s.lastRun(from); slices.Equal(as.boost, from.boost) && slices.Equal(as.shift, from.shift) {
		s.holdRun(&was)
	} else {
		run := s.judge(ctx, as, confirmTimes*s.draws)
		s.holdRun(&run)
	}
	v := s.judge(ctx, x, confirmTimes*s.draws)
	sought, best := x, v.score
	if l != nil {
		x, v = s.settle(ctx, x, v, &was, l)
	}
	found := x
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
	x, v = s.regain(ctx, x, found, v, &was)
	if v.score < best-betweenShare*(best-was.score) {
		x, v = s.between(ctx, x, v, from, sought, &was)
	}
	return s.putBack(ctx, x, v, from, &was)
}

// between looks on the way from settings from, whose verdict is was, to those sought for some that hold
// the limits and are better than x, whose verdict is v: where steps by slopes end badly, a part of the
// way is worth more than gears lowered together.
func (s *search) between(ctx context.Context, x settings, v verdict, from, sought settings, was *verdict) (settings, verdict) {
	if was.hard > hardChance {
		return x, v
	}
	low, high := 0.0, 1.0
	for range betweenSteps {
		share := (low + high) / 2
		y := from.toward(sought, share)
		w := s.judge(ctx, y, confirmTimes*s.draws)
		if ctx.Err() != nil {
			break
		}
		if !s.held(&w, was) {
			high = share
			continue
		}
		low = share
		if w.score > v.score || v.hard > hardChance {
			x, v = y, w
		}
	}
	return x, v
}

const (
	betweenShare = 0.25 // 1, of the gain sought, which may be lost before a part of the way is tried
	betweenSteps = 4    // times the way is halved
)

// toward are the settings a share, 1, of the way from s to y, as they are set.
func (s settings) toward(y settings, share float64) settings {
	z := y.clone()
	for g := range z.boost {
		z.boost[g] = math.Round((s.boost[g]+share*(y.boost[g]-s.boost[g]))/boostUnit) * boostUnit
	}
	for g := range z.rise {
		z.rise[g] = math.Round((s.rises(g)+share*(y.rises(g)-s.rises(g)))/boostUnit) * boostUnit
	}
	for g := range z.shift {
		z.shift[g] = s.shift[g] + math.Round(share*(y.shift[g]-s.shift[g])/turnStep)*turnStep
	}
	return z
}

// settle steps from x by the slopes l to where the hard limits are passed as often as is accepted
// under the confirming luck.
func (s *search) settle(ctx context.Context, x settings, v verdict, was *verdict, l *slopes) (settings, verdict) {
	room, reach := settleRoom*hardChance, 0.5
	for range settleTries {
		held := s.held(&v, was)
		if held && v.hard > settleRoom*settleRoom*hardChance || ctx.Err() != nil {
			break
		}
		l.stand(s, &v)
		y, ok := l.best(x, room, reach)
		if !ok {
			break
		}
		s.under(&y)
		w := s.judge(ctx, y, confirmTimes*s.draws)
		switch holds := s.held(&w, was); {
		case holds && (!held || w.score > v.score):
			x, v = y, w
		case !holds && !held && w.hard < v.hard:
			x, v = y, w
			if w.hard > hardChance { // the slopes promise more than they keep
				room *= max(leastRoom, settleRoom*hardChance/w.hard)
			}
		case w.hard > hardChance:
			room *= settleRoom * hardChance / w.hard
			reach *= shorten
		default:
			return x, v
		}
	}
	return x, v
}

const (
	settleTries = 5
	settleRoom  = 0.95 // 1, of the accepted chance
)

// regain goes back from x, lowered step by step, towards what the search had found as far
// as the limits are held: a whole step lower in every gear is more than was asked for.
func (s *search) regain(ctx context.Context, x, found settings, v verdict, was *verdict) (settings, verdict) {
	if !s.held(&v, was) {
		return x, v
	}
	low, back, step := x, 0.0, 0.5
	for range regainSteps {
		y, moved := low.clone(), false
		for g := range y.boost {
			y.boost[g] = math.Floor((low.boost[g]+(back+step)*(found.boost[g]-low.boost[g]))/1e3) * 1e3
			moved = moved || y.boost[g] != x.boost[g]
		}
		if !moved || ctx.Err() != nil {
			break
		}
		if w := s.judge(ctx, y, confirmTimes*s.draws); s.held(&w, was) && w.score > v.score {
			x, v, back = y, w, back+step
		}
		step /= 2
	}
	return x, v
}

// regainSteps is how many times the way back is halved.
const regainSteps = 3

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

// worthWhile is what a plan must bring over the settings run, m/s: less is not told apart from what the
// model misses, and not worth a turn of a knob.
const worthWhile = 0.05

// notSlower gives back x, the settings run, where y, the plan, is not faster by worthWhile under the same
// fresh luck and x holds the hard limits: then the change brings nothing.
func (s *search) notSlower(ctx context.Context, x, y settings, w verdict) (settings, verdict) {
	keep := s.seed
	s.seed = keep + 1
	defer func() { s.seed = keep }()
	v := s.judge(ctx, x, len(w.traps))
	worth := worthWhile
	if s.opt.ForTarget {
		worth = 0
	}
	if v.hard <= hardChance && (w.hard > hardChance || v.score+worth >= w.score) {
		return x, v
	}
	return y, w
}
