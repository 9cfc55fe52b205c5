package plan

import (
	"cmp"
	"math"
	"slices"
)

// What a step by slopes looks at.
const (
	nearMark  = 4.0  // 1, normal score beyond which the gears of a kind of limit make no way of their own
	equalMark = 0.3  // 1, of normal score, within which gears are equally near to a limit
	leastGain = 1e-5 // m/s, by which a step is better than none
	mostSteps = 200  // of one size in a climb
)

// best is the settings that the slopes say to be best with hard limits passed with a chance of
// no more than room, within reach, 1, of the longest step; false where that is x.
func (l *slopes) best(x settings, room, reach float64) (settings, bool) {
	l.bound(x, reach)
	start := make([]float64, len(l.turns)) // units of each turn
	kinds := make([]float64, l.kinds)
	now := l.lower(start, room, kinds)
	c := newClimber(l, max(room, now))

	// from where it stands, and from the two gears that bring most turned as far as they may go
	// alone: steps by one and by two end at edges of the limits
	d := slices.Clone(start)
	score := c.climb(d)
	for _, j := range l.foremost() {
		from := slices.Clone(start)
		for from[j] = l.turns[j].most; from[j] > start[j] && l.hard(from, kinds) > c.limit; {
			from[j]--
		}
		if from[j] <= start[j] {
			continue
		}
		if g := c.climb(from); g > score {
			score, d = g, from
		}
	}

	y := x.clone()
	moved := false
	for j, by := range d {
		moved = moved || by != 0
		l.turns[j].turn(&y, by)
	}
	return y, moved
}

// bound says how far each setting of x may be turned within reach, 1, of the longest step.
func (l *slopes) bound(x settings, reach float64) {
	for j := range l.turns {
		t := &l.turns[j]
		at, far := t.at(x), polishBoost
		if t.kind == shiftTurn {
			far = polishShift
		}
		far = math.Max(1, math.Floor(reach*far/t.unit))
		t.least = max(-far, min(0, math.Ceil((t.low-at)/t.unit)))
		t.most = min(far, max(0, math.Floor((t.high-at)/t.unit)))
	}
}

// lower takes boost from all gears together until hard limits are passed with a chance of no more
// than room, or nothing is left to take; it returns that chance, 0–1. d is changed, kinds is for
// scratch.
func (l *slopes) lower(d []float64, room float64, kinds []float64) float64 {
	for {
		now := l.hard(d, kinds)
		if now <= room {
			return now
		}
		moved := false
		for j := range d {
			if t := &l.turns[j]; t.kind == boostTurn && d[j]-1 >= t.least {
				d[j]--
				moved = true
			}
		}
		if !moved {
			return now
		}
	}
}

// foremost is the turns of the one or two gears whose boost brings most.
func (l *slopes) foremost() []int {
	var gears []int
	for j := range l.turns {
		if l.turns[j].kind != shiftTurn {
			gears = append(gears, j)
		}
	}
	slices.SortStableFunc(gears, func(a, b int) int { return cmp.Compare(l.turns[b].score, l.turns[a].score) })
	return gears[:min(2, len(gears))]
}

// ways is the directions in which steps go, in units of each turn: each setting alone, all boost
// together, and the gears of each kind of limit.
func (l *slopes) ways() [][]float64 {
	var ways [][]float64
	way := func(in func(j int) bool) {
		w, some := make([]float64, len(l.turns)), false
		for j := range w {
			if in(j) {
				w[j], some = 1, true
			}
		}
		if some {
			ways = append(ways, w)
		}
	}
	for i := range l.turns {
		way(func(j int) bool { return j == i })
	}
	way(func(j int) bool { return l.turns[j].kind == boostTurn })
	way(func(j int) bool { return l.turns[j].kind == innerTurn })
	for kind := range l.kinds {
		near := l.nearest(kind)
		way(func(j int) bool { return near[j] })
	}
	return ways
}

// nearest is the turns of boost that bring a kind of limit nearer where it is nearest already.
func (l *slopes) nearest(kind int) map[int]bool {
	low := math.Inf(1)
	for i := range l.marks {
		if l.marks[i].kind == kind {
			low = min(low, l.marks[i].z)
		}
	}
	near := map[int]bool{}
	if low > nearMark {
		return near
	}
	for i := range l.marks {
		if m := &l.marks[i]; m.kind != kind || m.z >= low+equalMark {
			continue
		}
		for j := range l.turns {
			if t := &l.turns[j]; t.kind == boostTurn && t.hard[i] < 0 {
				near[j] = true
			}
		}
	}
	return near
}

// climber climbs the slopes by steps along one way, or along two at a time, that keep hard
// limits passed with a chance of no more than limit, 0–1.
type climber struct {
	*slopes
	limit float64
	ways  [][]float64 // units of each turn
	hards [][]float64 // 1, what a unit of each way does to the marks' normal scores
	bends [][]float64 // m/s, what units of two ways bend together

	// where a climb stands
	score float64   // m/s
	grows []float64 // m/s, that a unit of each way brings
	z     []float64 // 1, normal scores of the marks

	// the best step from there
	top float64   // m/s
	to  []float64 // units of each turn, empty where there is none

	try, kinds []float64 // scratch
}

func newClimber(l *slopes, limit float64) *climber {
	c := &climber{
		slopes: l, limit: limit, ways: l.ways(),
		z: make([]float64, len(l.marks)), try: make([]float64, len(l.turns)), kinds: make([]float64, l.kinds),
	}
	c.hards, c.bends = make([][]float64, len(c.ways)), make([][]float64, len(c.ways))
	c.grows = make([]float64, len(c.ways))
	for i, a := range c.ways {
		c.hards[i] = make([]float64, len(l.marks))
		for k := range l.marks {
			for j, by := range a {
				c.hards[i][k] += by * l.turns[j].hard[k]
			}
		}
		c.bends[i] = make([]float64, len(c.ways))
		for k, b := range c.ways {
			for j := range a {
				c.bends[i][k] += a[j] * b[j] * l.turns[j].bend
			}
		}
	}
	return c
}

// climb turns steps d until none is better, by large steps first; it returns the gain, m/s.
func (c *climber) climb(d []float64) float64 {
	c.score = c.gain(d)
	for _, size := range [...]float64{8, 4, 2, 1} {
		for range mostSteps {
			c.look(d, size)
			if len(c.to) == 0 {
				break
			}
			copy(d, c.to)
			c.score = c.top
		}
	}
	return c.score
}

// look finds the best step from d with a first way of that size, in units.
func (c *climber) look(d []float64, size float64) {
	for k := range c.z {
		c.z[k] = c.normal(k, d)
	}
	for i, a := range c.ways {
		c.grows[i] = 0
		for j, by := range a {
			c.grows[i] += by * (c.turns[j].score + d[j]*c.turns[j].bend)
		}
	}
	c.top, c.to = c.score+leastGain, c.to[:0]
	for i := range c.ways {
		for _, fa := range [...]float64{size, -size} {
			c.see(d, i, fa, -1, 0)
			for k := range i {
				for _, share := range [...]float64{-3, -2, -1, -0.5, 1} {
					if fb := fa * share; fb == math.Trunc(fb) {
						c.see(d, i, fa, k, fb)
					}
				}
			}
		}
	}
}

// see takes the step from d by fa units of way a, and fb of way b unless that is negative, for
// the best one if it is better and within bounds and limits.
func (c *climber) see(d []float64, a int, fa float64, b int, fb float64) {
	g := c.score + fa*(c.grows[a]+fa*c.bends[a][a]/2)
	if b >= 0 {
		g += fb*(c.grows[b]+fb*c.bends[b][b]/2) + fa*fb*c.bends[a][b]
	}
	if g <= c.top {
		return
	}
	for j := range d {
		c.try[j] = d[j] + fa*c.ways[a][j]
		if b >= 0 {
			c.try[j] += fb * c.ways[b][j]
		}
		if t := &c.turns[j]; c.try[j] < t.least || c.try[j] > t.most {
			return
		}
	}
	if c.within(a, fa, b, fb) {
		c.top, c.to = g, append(c.to[:0], c.try...)
	}
}

// within says whether a step leaves the hard limits passed with a chance of no more than limit.
func (c *climber) within(a int, fa float64, b int, fb float64) bool {
	clear(c.kinds)
	for k := range c.marks {
		z := c.z[k] + fa*c.hards[a][k]
		if b >= 0 {
			z += fb * c.hards[b][k]
		}
		c.marks[k].count(z, c.kinds)
	}
	return c.total(c.kinds) <= c.limit
}
