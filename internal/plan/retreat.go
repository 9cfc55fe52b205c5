package plan

import (
	"context"
	"fmt"
	"math"
)

// retreat lowers the boost of the gears in which a hard limit is exceeded, step by
// step, until all of them hold; ok is false when boost cannot do it.
func (s *search) retreat(ctx context.Context, x settings, v verdict) (settings, verdict, bool) {
	baro := s.base.Air.Pressure
	lower := func(g int) bool {
		b := max(0, math.Floor((0.96*(x.boost[g]+baro)-baro)/1e3)*1e3)
		moved := b < x.boost[g]-500
		x.boost[g] = b
		return moved
	}
	for range 16 {
		if v.hard <= hardChance || ctx.Err() != nil {
			break
		}
		moved := false
		share := hardChance / float64(max(1, len(v.worst)))
		for _, l := range v.worst {
			switch {
			case l.chance <= share || s.excused(l):
			case l.gear > 0:
				moved = lower(l.gear-1) || moved
			default:
				for g := len(x.boost) / 2; g < len(x.boost); g++ {
					moved = lower(g) || moved
				}
			}
		}
		if !moved {
			break
		}
		v = s.judge(ctx, x, s.draws)
	}
	return x, v, v.hard <= hardChance
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
		where = fmt.Sprintf(" in %d", worst.gear)
	}
	p.NoCard = fmt.Sprintf("no boost holds the hard limits: %s%s would be exceeded with a chance of %.0f %% even with less boost; the settings shown are those run before", worst.limit, where, 100*worst.chance)
}
