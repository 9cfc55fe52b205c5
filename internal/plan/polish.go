package plan

import "context"

// What a polish does at most, and how far it goes at a time.
const (
	polishRounds = 4    // with slopes taken anew
	polishTries  = 5    // of steps by the same slopes
	shorten      = 0.55 // 1, of the longest step, after one that failed: limits bend away from their slopes
	leastRoom    = 0.6  // 1, of the room, that is left after a step that went far over the limits: a shorter one goes over by less
	polishWorth  = 0.01 // m/s, for which another round is run
	polishBoost  = 24e3 // Pa, longest step
	polishShift  = 24.0 // rad/s, longest step
)

// polish shares the accepted chance of the hard limits out among all gears and shift speeds
// together, where the climb went gear by gear: by the slopes of speed and of every limit's
// normal score the best step within the limits is worked out, then tried under the common
// luck. was is the verdict of the settings that soft limits are held against.
func (s *search) polish(ctx context.Context, x settings, v, was verdict) (settings, verdict, *slopes) {
	reach := 1.0
	var l *slopes
	for round := range polishRounds {
		s.report(searchRounds + round)
		reach = min(1, 2*reach)
		before := v.score
		l = s.slopesAt(ctx, x, &v, &was)
		if ctx.Err() != nil || len(l.turns) == 0 {
			break
		}
		room, moved := hardChance, false
		for range polishTries {
			y, ok := l.best(x, room, reach)
			if !ok || ctx.Err() != nil {
				break
			}
			s.under(&y)
			w := s.judge(ctx, y, s.draws)
			if s.allOK(&w, &was) && w.score > v.score {
				x, v, moved = y, w, true
				break
			}
			if !s.narrow(l, x, y, &w, &was, &room) || w.hard > hardChance {
				reach *= shorten
			}
		}
		if !moved || v.score-before < polishWorth {
			break
		}
	}
	return x, v, l
}

// narrow takes from l's bounds, and from room, what made settings y fail; false where
// neither limits nor a gear's tyres did.
func (s *search) narrow(l *slopes, x, y settings, w, was *verdict, room *float64) bool {
	found := false
	if w.hard > hardChance {
		*room *= max(leastRoom, 0.95*hardChance/w.hard)
		found = true
	}
	for i := range l.turns {
		t := &l.turns[i]
		if g := t.gear; t.kind != shiftTurn && y.boost[g] > x.boost[g] && !s.softOK(w, was, g) {
			t.high = t.at(x) // the climb has brought it to what its tyres hold already
			found = true
		}
	}
	return found
}
