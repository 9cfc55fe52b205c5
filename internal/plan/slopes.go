package plan

import (
	"context"
	"math"
)

const (
	slopeLeast = 0.002  // m/s a kPa, for which a gear is raised: tyres, and what no limit tells, are strained for less
	slopeBoost = 3e3    // Pa, over which slopes are taken
	slopeInner = 12e3   // Pa, the same of boost within a gear, whose highest strain moves away from its end as boost falls
	slopeShift = 8.0    // rad/s
	farMark    = 4.5    // 1, normal score beyond which a limit does not count
	turnStep   = 2.0944 // rad/s (20 rpm), of which steps of shift speeds are made
	boostUnit  = 1e3    // Pa, of which steps of boost are made
)

// Kinds of turns.
const (
	boostTurn = iota // boost of the whole gear
	shiftTurn        // shift speed out of it
	innerTurn        // by how much boost falls within it, its end staying as it is
)

// turn is a setting that may be turned.
type turn struct {
	gear        int // from 0
	kind        int
	unit        float64   // Pa or rad/s
	low, high   float64   // the same, how far it may be turned
	least, most float64   // 1, of the unit, the same from where it stands
	score       float64   // m/s a unit
	bend        float64   // m/s a unit squared
	hard        []float64 // 1 a unit, of the normal scores of slopes.marks
}

// turn turns y's setting by so many units.
func (t *turn) turn(y *settings, by float64) {
	by *= t.unit
	switch t.kind {
	case shiftTurn:
		y.shift[t.gear] += by
	case innerTurn:
		y.boost[t.gear] += by
		y.rise[t.gear] -= by
	default:
		y.boost[t.gear] += by
	}
}

// at is where settings have it, Pa or rad/s.
func (t *turn) at(x settings) float64 {
	switch t.kind {
	case shiftTurn:
		return x.shift[t.gear]
	case innerTurn:
		return -x.rises(t.gear)
	}
	return x.boost[t.gear]
}

// mark is a hard limit of a gear as it stands: z is its normal score, before that with which it
// is taken to have been held, scale what remains between chance and both.
type mark struct {
	kind             int
	z, before, scale float64
}

// chance is that of passing the limit, 0–1, at normal score z.
func (m *mark) chance(z float64) float64 {
	return m.scale * max(0, tail(z)-m.before)
}

// count counts the chance of passing the limit at normal score z among those of all kinds of
// limits, 0–1: of a kind, that of its likeliest gear.
func (m *mark) count(z float64, kinds []float64) {
	if z < farMark {
		kinds[m.kind] = max(kinds[m.kind], m.chance(z))
	}
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
	kinds int    // how many kinds of limits
	guess []bool // by kind, which are no more than guesses; nil: none
}

// stand puts the marks where a verdict has them.
func (l *slopes) stand(s *search, v *verdict) {
	kind := map[string]int{}
	l.kinds, l.guess = len(v.kinds), make([]bool, len(v.kinds))
	for i := range v.kinds {
		kind[v.kinds[i].limit], l.guess[i] = i, s.guessed(v.kinds[i].limit)
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
	used := func(g int) bool { return v.gears[g].used >= usedShare*float64(v.runs) }
	for g := range x.boost {
		if !used(g) || s.inner != nil && g == 0 {
			continue
		}
		top := s.upper[g]
		if s.spins(was, g) {
			top = min(top, x.boost[g])
		}
		s.sound(ctx, l, turn{gear: g, unit: boostUnit, low: s.least(g) + max(0, -x.rises(g)), high: top - max(0, x.rises(g))}, x, v)
	}
	for g := 1; g < len(s.inner) && g < len(x.boost); g++ {
		end := x.boost[g] + x.rises(g)
		if !used(g) || s.springHolds(max(end, x.boost[g])) {
			continue
		}
		t := turn{gear: g, kind: innerTurn, unit: boostUnit, low: max(-risesMost, s.least(g)-end), high: min(s.falls(g, end), s.upper[g]-end)}
		if s.spins(was, g) {
			t.high = min(t.high, t.at(x))
		}
		s.sound(ctx, l, t, x, v)
	}
	for g := range x.shift {
		if s.inner != nil || !used(g) || !used(min(g+1, len(v.gears)-1)) {
			continue
		}
		t := turn{gear: g, kind: shiftTurn, unit: turnStep}
		if t.low, t.high = s.shiftBounds(g); t.high-t.low < 2*t.unit {
			continue
		}
		if s.slope(ctx, l, &t, x, v, slopeShift/t.unit) {
			l.turns = append(l.turns, t)
		}
	}
	return l
}

// sound takes the slope of t, a turn of boost, at x, whose verdict is v, and holds t where boost
// brings too little.
func (s *search) sound(ctx context.Context, l *slopes, t turn, x settings, v *verdict) {
	if t.high-t.low < t.unit {
		return
	}
	over := slopeBoost
	if t.kind == innerTurn {
		over = slopeInner
	}
	by := over / t.unit
	if t.at(x)+over > t.high {
		by = -by
	}
	if !s.slope(ctx, l, &t, x, v, by) {
		return
	}
	if t.score < slopeLeast {
		t.high = t.at(x)
	}
	l.turns = append(l.turns, t)
}

// slope runs x, whose verdict is v, with t turned by so many of its units, and a shift speed as
// far the other way too, for t's slopes; false where such settings cannot be run.
func (s *search) slope(ctx context.Context, l *slopes, t *turn, x settings, v *verdict, by float64) bool {
	turned := func(by float64) verdict {
		y := x.clone()
		t.turn(&y, by)
		return s.judge(ctx, y, s.draws)
	}
	w := turned(by)
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
	if t.kind == shiftTurn { // the best shift speed lies within: it has a bend as well
		u := turned(-by)
		t.bend = min(0, (w.score+u.score-2*v.score)/(by*by))
		t.score = (w.score - u.score) / (2 * by)
	}
	return !math.IsInf(w.score, 0) && ctx.Err() == nil
}

// hard is the chance of passing any hard limit, 0–1, by the slopes, at steps d.
func (l *slopes) hard(d []float64, kinds []float64) float64 {
	clear(kinds)
	for i := range l.marks {
		m := &l.marks[i]
		m.count(l.normal(i, d), kinds)
	}
	return l.total(kinds)
}

// total is the chance of passing any hard limit, 0–1, of those of all kinds, as search.sum has it.
func (l *slopes) total(kinds []float64) float64 {
	hard, guess := 0.0, 0.0
	for i, c := range kinds {
		if i < len(l.guess) && l.guess[i] {
			guess = max(guess, c)
		} else {
			hard += c
		}
	}
	return max(hard, guess)
}

// normal is the normal score, 1, of a mark by the slopes at steps d.
func (l *slopes) normal(mark int, d []float64) float64 {
	z := l.marks[mark].z
	for j, by := range d {
		z += by * l.turns[j].hard[mark]
	}
	return z
}

// gain is by how much the score grows by the slopes at steps d, m/s.
func (l *slopes) gain(d []float64) float64 {
	sum := 0.0
	for j, by := range d {
		sum += by * (l.turns[j].score + by*l.turns[j].bend/2)
	}
	return sum
}

func sum(of []float64) float64 {
	total := 0.0
	for _, v := range of {
		total += v
	}
	return total
}
