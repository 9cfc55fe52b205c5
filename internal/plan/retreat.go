package plan

import (
	"context"
	"fmt"
	"math"
)

// retreat lowers the boost of the gears in which a hard limit is exceeded, step by
// step, until all of them hold with some room for the search; ok is false when boost
// cannot do it.
func (s *search) retreat(ctx context.Context, x settings, v verdict) (settings, verdict, bool) {
	for range 28 {
		if v.hard <= retreatRoom*hardChance || ctx.Err() != nil {
			break
		}
		if !s.lower(&x, &v, retreatStep) {
			break
		}
		v = s.judge(ctx, x, s.draws)
	}
	return x, v, v.hard <= hardChance
}

const (
	retreatRoom = 0.5   // 1, share of the accepted chance that a retreat leaves used
	retreatStep = 0.025 // 1, of absolute pressure, at a time
	lowShare    = 0.15  // 1, of the accepted chance, above which a limit's gear is lowered
)

// lower takes boost, by a share of absolute pressure, from every gear in which a hard
// limit takes much of the accepted chance, once each; a limit of the whole pass lowers
// the upper half of the gears. False when nothing moved.
func (s *search) lower(x *settings, v *verdict, share float64) bool {
	gears := make([]bool, len(x.boost))
	top := 0.0
	for _, l := range v.worst {
		if !s.excused(l) {
			top = max(top, l.chance)
		}
	}
	for _, l := range v.worst {
		switch {
		case l.chance <= min(lowShare*hardChance, 0.999*top) || s.excused(l):
		case l.gear > 0:
			gears[l.gear-1] = true
			if g := l.gear - 1; g > 0 && x.boost[g] < x.boost[g-1] {
				gears[g-1] = true // what peaks there was brought in from the gear before
			}
		default:
			for g := len(gears) / 2; g < len(gears); g++ {
				gears[g] = true
			}
		}
	}
	moved := false
	for g, on := range gears {
		if on {
			moved = s.step(x, g, share) || moved
		}
	}
	return moved
}

// leastReach is the lowest absolute pressure, as a share of the highest run, for which
// the model is believed: what a wastegate's spring holds below is a guess.
const leastReach = 0.85

// least is how low gear g (from 0) is set, Pa gauge.
func (s *search) least(g int) float64 {
	baro := s.base.Air.Pressure
	return max(0, math.Ceil((leastReach*(s.ran.boost[g]+baro)-baro)/1e3)*1e3)
}

// step lowers one gear's boost; false when there is none left to take.
func (s *search) step(x *settings, g int, share float64) bool {
	baro := s.base.Air.Pressure
	b := max(s.least(g)+max(0, -x.rises(g)), math.Floor(((1-share)*(x.boost[g]+baro)-baro)/1e3)*1e3)
	moved := b < x.boost[g]-500
	x.boost[g] = b
	return moved
}

// noMore tells whether a gear (from 1) asks for no more than was run in it: boost, engine
// speed out of it, nitrous.
func (s *search) noMore(x settings, gear int) bool {
	g := gear - 1
	return x.boost[g]+max(0, x.rises(g)) <= s.ran.boost[g] && (g >= len(x.shift) || x.shift[g] <= s.ran.shift[g]) && !(x.nitrous && x.window.in(gear))
}

// refuse says which limit no settings hold.
func (p *Plan) refuse(s *search, v verdict) {
	worst := limitChance{}
	for _, l := range v.worst {
		if l.chance > worst.chance && !s.excused(l) {
			worst = l
		}
	}
	where := ""
	if worst.gear > 0 {
		where = fmt.Sprintf(" in gear %d", worst.gear)
	}
	p.NoCard = fmt.Sprintf("no boost holds the hard limits: %s%s would be exceeded with a chance of %.0f %% even with less boost; the settings shown are those run before", worst.limit, where, 100*worst.told)
}
