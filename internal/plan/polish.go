package plan

import (
	"context"
	"math"
)

// What a polish does at most, and how far it goes at a time.
const (
	polishRounds = 4      // with slopes taken anew
	polishTries  = 5      // of steps by the same slopes
	shorten      = 0.55   // 1, of the longest step, after one that failed: limits bend away from their slopes
	polishWorth  = 0.01   // m/s, for which another round is run
	polishBoost  = 24e3   // Pa, longest step
	polishShift  = 24.0   // rad/s, longest step
	slopeLeast   = 0.002  // m/s a kPa, for which a gear is raised: tyres, and what no limit tells, are strained for less
	slopeBoost   = 3e3    // Pa, over which slopes are taken
	slopeShift   = 8.0    // rad/s
	farMark      = 4.5    // 1, normal score beyond which a limit does not count
	turnStep     = 2.0944 // rad/s (20 rpm), of which steps of shift speeds are made
	boostUnit    = 1e3    // Pa, of which steps of boost are made
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
		*room *= 0.95 * hardChance / w.hard
		found = true
	}
	for i := range l.turns {
		t := &l.turns[i]
		if g := t.gear; !t.shift && y.boost[g] > x.boost[g] && !s.softOK(w, was, g) {
			t.high = x.boost[g] // the climb has brought it to what its tyres hold already
			found = true
		}
	}
	return found
}

// turn is a setting that may be turned: boost of a gear or the shift speed out of it.
type turn struct {
	gear        int // from 0
	shift       bool
	unit        float64   // Pa or rad/s
	low, high   float64   // the same, how far it may be turned
	least, most float64   // 1, of the unit, the same from where it stands
	score       float64   // m/s a unit
	bend        float64   // m/s a unit squared
	hard        []float64 // 1 a unit, of the normal scores of slopes.marks
}

// mark is a hard limit of a gear as it stands: z is its normal score, before that with which it
// is taken to have been held, scale what remains between chance and both.
type mark struct {
	kind             int
	z, before, scale float64
}

func (m *mark) chance(z float64) float64 {
	return m.scale * max(0, tail(z)-m.before)
}

// place names a hard limit of a gear.
type place struct {
	gear  int
	limit string
}

// slopes are what settings change about where they stand.
type slopes struct {
	turns []turn
	place map[place]int // of marks
	marks []mark
	kinds int // how many kinds of limits
}

// stand puts the marks where a verdict has them.
func (l *slopes) stand(s *search, v *verdict) {
	kind := map[string]int{}
	l.kinds = len(v.kinds)
	for i := range v.kinds {
		kind[v.kinds[i].limit] = i
	}
	for i := range l.marks {
		l.marks[i].z = math.Inf(1)
	}
	see := func(c *limitChance, gear int) {
		m := mark{kind: kind[c.limit], z: c.z, before: c.before, scale: 1 / (1 - c.before)}
		if c.chance > 0 && tail(c.z) > c.before {
			m.scale = c.chance / (tail(c.z) - c.before)
		}
		at, ok := l.place[place{gear, c.limit}]
		if !ok {
			at = len(l.marks)
			l.place[place{gear, c.limit}] = at
			l.marks = append(l.marks, m)
			for j := range l.turns {
				l.turns[j].hard = append(l.turns[j].hard, 0)
			}
		}
		l.marks[at] = m
	}
	for i := range v.worst {
		if c := &v.worst[i]; c.gear > 0 && !s.excused(*c) {
			see(c, c.gear)
		}
	}
	// a kind of limit is passed oftener than in its likeliest gear where gears come equally near
	for i := range v.kinds {
		if c := &v.kinds[i]; !s.excused(*c) {
			see(c, anyGear)
		}
	}
}

// anyGear places a limit of the pass, whichever gear is nearest to it.
const anyGear = -1

// slopesAt takes the slopes at x by runs with one setting changed at a time.
func (s *search) slopesAt(ctx context.Context, x settings, v, was *verdict) *slopes {
	l := &slopes{place: map[place]int{}}
	l.stand(s, v)
	see := func(t *turn, change func(y *settings, by float64), by float64, both bool) {
		y := x.clone()
		change(&y, by*t.unit)
		w := s.judge(ctx, y, s.draws)
		t.score = (w.score - v.score) / by
		t.hard = make([]float64, len(l.marks))
		see := func(c *limitChance, gear int) {
			if i, ok := l.place[place{gear, c.limit}]; ok && !math.IsInf(c.z, 0) && !math.IsInf(l.marks[i].z, 0) {
				t.hard[i] = (c.z - l.marks[i].z) / by
			}
		}
		for i := range w.worst {
			see(&w.worst[i], w.worst[i].gear)
		}
		for i := range w.kinds {
			see(&w.kinds[i], anyGear)
		}
		if both {
			z := x.clone()
			change(&z, -by*t.unit)
			u := s.judge(ctx, z, s.draws)
			t.bend = min(0, (w.score+u.score-2*v.score)/(by*by))
			t.score = (w.score - u.score) / (2 * by)
		}
		if !math.IsInf(w.score, 0) && ctx.Err() == nil {
			l.turns = append(l.turns, *t)
		}
	}
	for g := range x.boost {
		if v.gears[g].used < usedShare*float64(v.runs) {
			continue
		}
		top := s.upper[g]
		if was.gears[g].spin > 2*s.opt.Risk {
			top = min(top, x.boost[g]) // see raise
		}
		t := turn{gear: g, unit: boostUnit, low: s.least(g), high: top}
		if t.high-t.low < t.unit {
			continue
		}
		by := slopeBoost / t.unit
		if x.boost[g]+slopeBoost > top {
			by = -by
		}
		see(&t, func(y *settings, d float64) { y.boost[g] += d }, by, false)
		if n := len(l.turns) - 1; n >= 0 && l.turns[n].gear == g && l.turns[n].score < slopeLeast {
			l.turns[n].high = x.boost[g]
		}
	}
	for g := range x.shift {
		if v.gears[g].used < usedShare*float64(v.runs) || v.gears[min(g+1, len(v.gears)-1)].used < usedShare*float64(v.runs) {
			continue
		}
		t := turn{gear: g, shift: true, unit: turnStep}
		if t.low, t.high = s.shiftBounds(g); t.high-t.low < 2*t.unit {
			continue
		}
		see(&t, func(y *settings, d float64) { y.shift[g] += d }, slopeShift/t.unit, true)
	}
	return l
}

// hard is the chance of passing any hard limit, 0–1, by the slopes, at steps d.
func (l *slopes) hard(d []float64, kinds []float64) float64 {
	for k := range kinds {
		kinds[k] = 0
	}
	for i := range l.marks {
		m := &l.marks[i]
		z := m.z
		for j, by := range d {
			z += by * l.turns[j].hard[i]
		}
		if z < farMark {
			kinds[m.kind] = max(kinds[m.kind], m.chance(z))
		}
	}
	sum := 0.0
	for _, c := range kinds {
		sum += c
	}
	return sum
}

// gain is by how much the score grows by the slopes at steps d, m/s.
func (l *slopes) gain(d []float64) float64 {
	sum := 0.0
	for j, by := range d {
		sum += by * (l.turns[j].score + by*l.turns[j].bend/2)
	}
	return sum
}

// best is the settings that the slopes say to be best with hard limits passed with a chance of
// no more than room, within reach, 1, of the longest step; false where that is x.
func (l *slopes) best(x settings, room, reach float64) (settings, bool) {
	n := len(l.turns)
	d, try, kinds := make([]float64, n), make([]float64, n), make([]float64, l.kinds)
	for j := range l.turns {
		t := &l.turns[j]
		at, far := x.boost, polishBoost
		if t.shift {
			at, far = x.shift, polishShift
		}
		far = math.Max(1, math.Floor(reach*far/t.unit))
		t.least = max(-far, min(0, math.Ceil((t.low-at[t.gear])/t.unit)))
		t.most = min(far, max(0, math.Floor((t.high-at[t.gear])/t.unit)))
	}
	// directions: each setting alone, all boost together, and the gears of each kind of limit
	var ways [][]float64
	way := func(in func(j int) bool) {
		w, any := make([]float64, n), false
		for j := range w {
			if in(j) {
				w[j], any = 1, true
			}
		}
		if any {
			ways = append(ways, w)
		}
	}
	for i := range n {
		way(func(j int) bool { return j == i })
	}
	way(func(j int) bool { return !l.turns[j].shift })
	for k := range l.kinds {
		low := math.Inf(1)
		for i := range l.marks {
			if l.marks[i].kind == k {
				low = min(low, l.marks[i].z)
			}
		}
		if low > 4 {
			continue
		}
		near := map[int]bool{}
		for i := range l.marks {
			if m := &l.marks[i]; m.kind == k && m.z < low+0.3 {
				for j := range l.turns {
					if t := &l.turns[j]; !t.shift && t.hard[i] < 0 {
						near[j] = true
					}
				}
			}
		}
		way(func(j int) bool { return near[j] })
	}
	now := l.hard(d, kinds)
	for now > room { // lowered together first
		moved := false
		for j := range d {
			t := &l.turns[j]
			if !t.shift && d[j]-1 >= t.least {
				d[j]--
				moved = true
			}
		}
		if !moved {
			break
		}
		now = l.hard(d, kinds)
	}
	limit := max(room, now)
	// what a unit of each way does to the marks' normal scores
	hards := make([][]float64, len(ways))
	for i, w := range ways {
		hards[i] = make([]float64, len(l.marks))
		for k := range l.marks {
			for j, by := range w {
				hards[i][k] += by * l.turns[j].hard[k]
			}
		}
	}
	// what two ways bend together, and each alone as far as it has gone
	bends, grows := make([][]float64, len(ways)), make([]float64, len(ways))
	for i, a := range ways {
		bends[i] = make([]float64, len(ways))
		for k, b := range ways {
			for j := range a {
				bends[i][k] += a[j] * b[j] * l.turns[j].bend
			}
		}
	}
	z := make([]float64, len(l.marks))
	within := func(a, b []float64, fa, fb float64) bool {
		for k := range kinds {
			kinds[k] = 0
		}
		for k := range l.marks {
			at := z[k] + fa*a[k]
			if b != nil {
				at += fb * b[k]
			}
			if m := &l.marks[k]; at < farMark {
				kinds[m.kind] = max(kinds[m.kind], m.chance(at))
			}
		}
		sum := 0.0
		for _, c := range kinds {
			sum += c
		}
		return sum <= limit
	}
	climb := func(d []float64) float64 {
		score := l.gain(d)
		for _, size := range [...]float64{8, 4, 2, 1} {
			for range 200 {
				for k := range z {
					z[k] = l.marks[k].z
					for j, by := range d {
						z[k] += by * l.turns[j].hard[k]
					}
				}
				for i, a := range ways {
					grows[i] = 0
					for j, by := range a {
						grows[i] += by * (l.turns[j].score + d[j]*l.turns[j].bend)
					}
				}
				top := score + 1e-5
				var to []float64
				see := func(i, k int, fa, fb float64) {
					g := score + fa*(grows[i]+fa*bends[i][i]/2)
					if k >= 0 {
						g += fb*(grows[k]+fb*bends[k][k]/2) + fa*fb*bends[i][k]
					}
					if g <= top {
						return
					}
					for j := range d {
						try[j] = d[j] + fa*ways[i][j]
						if k >= 0 {
							try[j] += fb * ways[k][j]
						}
						if try[j] < l.turns[j].least || try[j] > l.turns[j].most {
							return
						}
					}
					var b []float64
					if k >= 0 {
						b = hards[k]
					}
					if within(hards[i], b, fa, fb) {
						top, to = g, append(to[:0], try...)
					}
				}
				for i := range ways {
					for _, fa := range [...]float64{size, -size} {
						see(i, -1, fa, 0)
						for k := range i {
							for _, share := range [...]float64{-3, -2, -1, -0.5, 1} {
								if fb := fa * share; fb == math.Trunc(fb) {
									see(i, k, fa, fb)
								}
							}
						}
					}
				}
				if to == nil {
					break
				}
				copy(d, to)
				score = top
			}
		}
		return score
	}
	// from where it stands, and from the two gears that bring most turned as far as they may go
	// alone: steps by one and by two end at edges of the limits
	start := append([]float64(nil), d...)
	score := climb(d)
	first, second := -1, -1
	for j := range l.turns {
		switch t := &l.turns[j]; {
		case t.shift:
		case first < 0 || t.score > l.turns[first].score:
			first, second = j, first
		case second < 0 || t.score > l.turns[second].score:
			second = j
		}
	}
	for _, j := range [...]int{first, second} {
		if j < 0 {
			continue
		}
		from := append([]float64(nil), start...)
		for from[j] = l.turns[j].most; from[j] > start[j] && l.hard(from, kinds) > limit; {
			from[j]--
		}
		if from[j] <= start[j] {
			continue
		}
		if g := climb(from); g > score {
			score = g
			copy(d, from)
		}
	}
	y := x.clone()
	moved := false
	for j, by := range d {
		t := &l.turns[j]
		if moved = moved || by != 0; t.shift {
			y.shift[t.gear] += by * t.unit
		} else {
			y.boost[t.gear] += by * t.unit
		}
	}
	return y, moved
}
