package plan

import "context"

// putBack gives the gears of x, whose verdict is v, that stand lower than in from, the settings that
// the search began with, back what they had there, where that holds the limits as well and is no
// slower: steps by slopes trade gears for one another by whole units, and leave behind what the
// step after them did not need. All together are tried first, then each alone, boost and shift speeds.
func (s *search) putBack(ctx context.Context, x settings, v verdict, from settings, was *verdict) (settings, verdict) {
	if x.rise != nil || !s.held(&v, was) {
		return x, v
	}
	var ways []func(y *settings)
	for g := range x.boost {
		if x.boost[g] < from.boost[g] {
			ways = append(ways, func(y *settings) { y.boost[g] = from.boost[g] })
		}
	}
	for g := range x.shift {
		if x.shift[g] < from.shift[g] {
			ways = append(ways, func(y *settings) { y.shift[g] = from.shift[g] })
		}
	}
	if len(ways) == 0 {
		return x, v
	}
	try := func(turn func(y *settings)) bool {
		if ctx.Err() != nil {
			return true
		}
		y := x.clone()
		turn(&y)
		w := s.judge(ctx, y, confirmTimes*s.draws)
		if ctx.Err() != nil || !s.held(&w, was) || w.score < v.score {
			return false
		}
		x, v = y, w
		return true
	}
	all := func(y *settings) {
		for _, turn := range ways {
			turn(y)
		}
	}
	if try(all) {
		return x, v
	}
	for _, turn := range ways {
		try(turn)
	}
	return x, v
}
