package plan

import "math"

// limitChance is the chance of passing one limit in a gear, or in the whole pass.
type limitChance struct {
	gear   int
	limit  string
	class  string
	chance float64 // 0–1; of a guessed limit what it counts beside hard ones
	told   float64 // 0–1, the chance itself
	// z is the normal score of the margin, and before the tail, 0–1, that is taken to be
	// excluded since the limit was held as run.
	z, before float64
	sd        float64 // 1, of the margin, over draws and what is not known
	share     float64 // 0–1, of the passes that have the figure
}

// spreadOf gathers margins of one limit over the draws.
type spreadOf struct {
	n, sum, square float64
	blur           float64 // summed squares
	held           *held
	all            []float64
}

func (t *spreadOf) add(m *margin) {
	t.n++
	t.sum += m.value
	t.square += m.value * m.value
	t.blur += m.blur * m.blur
	t.held = m.held
	t.all = append(t.all, m.value)
}

// chance is that of passing the limit, of runs passes: a normal tail over the draws and
// what the model does not know. ends says that the figure has an end to it, beyond which
// a normal tail would reach. before, 0–1, is the tail that the settings run have of a limit
// that no channel shows: with all their luck it was held, so that what changes adds risk.
func (t *spreadOf) chance(runs int, ends bool, before float64) (c limitChance) {
	mean := t.sum / t.n
	blur := t.blur / t.n
	sd := math.Sqrt(max(0, t.square/t.n-mean*mean) + blur)
	c.z, c.sd, c.share = mean/sd, sd, t.n/float64(runs)
	if t.held != nil {
		c.before = max(tail(t.held.value/t.held.blur), before)
	}
	c.chance = c.beyond()
	if ends {
		c.chance = min(c.chance, kernel(t.all, math.Sqrt(blur)))
	}
	c.chance *= c.share
	return c
}

// beyond is the tail past the limit, 0–1, less what is taken to be excluded.
func (c *limitChance) beyond() float64 {
	return max(0, tail(c.z)-c.before) / (1 - c.before)
}

// within bounds the tail of a kind by what its gears' add up to, however they hang together
// (Boole's inequality): where one draw's nearest gear is another than the next one's, their margins
// are no one normal figure, and its tail promises too much.
func (c *limitChance) within(gears []limitChance) {
	sum := 0.0
	for i := range gears {
		if g := &gears[i]; g.limit == c.limit {
			sum += g.share * tail(g.z)
		}
	}
	if sum < c.share*tail(c.z) {
		c.z = math.Sqrt2 * math.Erfcinv(2*sum/c.share)
		c.chance = min(c.chance, c.share*c.beyond())
	}
}

// tail is the chance, 0–1, of a normal figure under −z standard deviations.
func tail(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// chances are those of the hard limits by gear, and by kind for the whole pass. What is
// not known of a kind's figures the gears of a pass share: of each draw the gear nearest to
// the limit counts for the kind.
func (s *search) chances(out []drawn, runs int) (worst, kinds []limitChance) {
	type key struct {
		gear  int
		limit string
	}
	stats := map[key]*spreadOf{}
	var order []key
	of := func(k key) *spreadOf {
		t := stats[k]
		if t == nil {
			t = &spreadOf{}
			stats[k] = t
			order = append(order, k)
		}
		return t
	}
	for i := range out {
		o := &out[i]
		if math.IsNaN(o.trap) || o.gears == nil {
			continue
		}
		near := map[string]*margin{}
		var names []string
		for j := range o.margins {
			m := &o.margins[j]
			of(key{m.gear, m.limit}).add(m)
			if n := near[m.limit]; n == nil {
				near[m.limit] = m
				names = append(names, m.limit)
			} else if m.value/m.blur < n.value/n.blur {
				near[m.limit] = m
			}
		}
		for _, name := range names {
			of(key{-1, name}).add(near[name])
		}
	}
	told := func(k key, before float64) limitChance {
		c := stats[k].chance(runs, k.limit == shutDown && s.leastDecel() > 0, before)
		c.gear, c.limit, c.class = max(0, k.gear), k.limit, Hard
		if k.gear < 0 {
			c.within(worst)
		}
		c.told = c.chance
		if s.guessed(k.limit) {
			c.class = Soft
			c.chance *= hardChance / min(s.opt.Risk, guessRisk)
		}
		return c
	}
	for _, k := range order {
		if k.gear >= 0 {
			worst = append(worst, told(k, s.asHeld[k.limit].gear))
		}
	}
	for _, k := range order {
		if k.gear < 0 {
			kinds = append(kinds, told(k, s.asHeld[k.limit].kind))
		}
	}
	for i := range kinds { // a pass passes a kind at least as often as its worst gear
		for _, l := range worst {
			if l.limit == kinds[i].limit {
				kinds[i].chance = max(kinds[i].chance, l.chance)
				kinds[i].told = max(kinds[i].told, l.told)
			}
		}
	}
	return worst, kinds
}

// sum is the chance, 0–1, of exceeding any hard limit: limits of different kinds add up
// (Bonferroni). A guessed one is soft: it is held beside them, by what its chance counts, and takes
// nothing of theirs.
func (s *search) sum(kinds []limitChance) float64 {
	hard, guess := 0.0, 0.0
	for _, l := range kinds {
		switch {
		case s.excused(l):
		case s.guessed(l.limit):
			guess = max(guess, l.chance)
		default:
			hard += l.chance
		}
	}
	return min(1, max(hard, guess))
}
