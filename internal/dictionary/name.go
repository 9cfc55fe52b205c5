package dictionary

import (
	"traplight/internal/quantity"
)

// guess is what a name says.
type guess struct {
	q     quantity.Name
	score float64 // 0–1
	axle  bool    // stands for a whole axle
}

// How much a name loses, as a factor, for each of its words that a rule leaves
// unexplained.
const (
	lossKnown   = 0.55 // a word that means something else
	lossUnknown = 0.85 // a word that nobody knows
	lossWeak    = 0.93 // a word that was only guessed
	lossOther   = 0.10 // a target, an error, a limit: not a reading of it
)

// readName weighs all rules against the words of a name and gives the best
// guess for each quantity.
func readName(ws []word) map[quantity.Name]guess {
	out := map[quantity.Name]guess{}
	for i := range rules {
		r := &rules[i]
		if s := r.weigh(ws); s > out[r.q].score {
			out[r.q] = guess{q: r.q, score: s, axle: r.base == 0.7 && len(r.need) == 2}
		}
	}
	return out
}

// weigh is how well a rule explains a name, 0–1.
func (r *rule) weigh(ws []word) float64 {
	var wanted features
	for _, g := range r.need {
		wanted = wanted.union(setOf(g...))
	}
	explained := wanted.union(setOf(r.with...)).union(fillers)
	indexed := isIndexed(r.q)
	if indexed {
		explained = explained.union(places)
	}
	denied := setOf(r.deny...)
	var have features
	score := r.base
	for _, w := range ws {
		if w.number >= 0 && len(w.senses) == 0 {
			continue
		}
		if len(w.senses) == 0 {
			if len([]rune(w.text)) > 1 {
				score *= lossUnknown
			}
			continue
		}
		// The sense that serves the rule best.
		best, bestRank := sense{}, -100
		for _, s := range w.senses {
			rank := 0
			if !s.common(denied).empty() {
				rank -= 10
			}
			if s.within(explained) {
				rank += 3
			}
			rank += 2 * s.common(wanted).without(have).count()
			if !s.common(wanted).empty() {
				rank++
			}
			if rank > bestRank {
				best, bestRank = s, rank
			}
		}
		have = have.union(best)
		if w.weak {
			score *= lossWeak
		}
		if !best.within(explained) {
			score *= lossKnown
			if !best.common(notReading).empty() {
				score *= lossOther
			}
		}
	}
	if !have.common(denied).empty() {
		return 0
	}
	for _, g := range r.need {
		if have.common(setOf(g...)).empty() {
			return 0
		}
	}
	return score
}

// isIndexed says whether a quantity may come from several sensors.
func isIndexed(q quantity.Name) bool {
	switch q {
	case quantity.ExhaustPressure, quantity.ExhaustTemperature, quantity.Lambda, quantity.FuelTrim, quantity.Knock, quantity.TurboSpeed,
		quantity.TyreTemperature, quantity.TyrePressure, quantity.RideHeight, quantity.ShaftTorque, quantity.LambdaTarget, quantity.BrakePressure,
		quantity.InjectorDuty, quantity.Throttle, quantity.Pedal, quantity.IgnitionAngle:
		return true
	}
	return false
}

// indexOf reads which of several sensors a name means: a number, a letter, a
// bank's side, a corner; 0 when the name does not say.
func indexOf(q quantity.Name, ws []word) int {
	if !isIndexed(q) && q != quantity.Unknown {
		return 0
	}
	var have features
	number := 0
	for i, w := range ws {
		switch {
		case w.number > 0 && w.number <= 16:
			number = w.number
		case len(w.text) == 1 && w.text[0] >= 'a' && w.text[0] <= 'f' && i == len(ws)-1 && i > 0:
			if number == 0 && !sideLetter(w, ws) {
				number = int(w.text[0]-'a') + 1
			}
		}
		if w.text == "r" { // of a lone letter right is meant; with the other letter rear is the same number
			have = have.union(setOf(fRight))
			continue
		}
		if beforeThing(w, ws) || isArticle(i, ws) {
			continue
		}
		for _, s := range w.senses {
			if s.common(setOf(fFront, fRear, fLeft, fRight)).within(s) && s.within(setOf(fFront, fRear, fLeft, fRight)) {
				have = have.union(s)
			}
		}
	}
	if number > 0 {
		return number
	}
	switch q {
	case quantity.IgnitionAngle, quantity.InjectorDuty, quantity.Throttle, quantity.Pedal, quantity.FuelTrim, quantity.LambdaTarget:
		return 0 // numbered by number or not at all
	}
	front, rear, left, right := have.has(fFront), have.has(fRear), have.has(fLeft), have.has(fRight)
	switch {
	case front && left && !right && !rear:
		return 1
	case front && right && !left && !rear:
		return 2
	case rear && left && !right && !front:
		return 3
	case rear && right && !left && !front:
		return 4
	case left && !right, front && !rear && !left && !right:
		return 1
	case right && !left, rear && !front && !left && !right:
		return 2
	}
	return 0
}

// beforeThing says whether a word such as "avant", front or before, stands with a
// machine that the air goes through, so that it tells no place.
func beforeThing(w word, ws []word) bool {
	if !hasIdea(w, fBefore) && !hasIdea(w, fAfter) {
		return false
	}
	for _, o := range ws {
		if hasIdea(o, fTurbine) || hasIdea(o, fCompressor) || hasIdea(o, fCooler) {
			return true
		}
	}
	return false
}

// isArticle says whether a word that is a place's code and an article too ("del", "di")
// stands before a thing, as articles do, rather than at the end or before another place.
func isArticle(i int, ws []word) bool {
	if i+1 >= len(ws) || !hasIdea(ws[i], fFiller) {
		return false
	}
	next := ws[i+1]
	if len(next.senses) == 0 {
		return next.number < 0
	}
	for _, s := range next.senses {
		if s.within(places) {
			return false
		}
	}
	return true
}

// pairSides numbers sensors that come as a pair of letters for left and right: G
// and D in French, where D alone would be the fourth.
func pairSides(cands []*candidate) {
	at := map[string]*candidate{}
	key := func(c *candidate) (stem, last string) {
		n := len(c.words)
		if n < 2 || !isIndexed(c.best.q) {
			return "", ""
		}
		for _, w := range c.words[:n-1] {
			stem += w.text + " "
		}
		return stem, c.words[n-1].text
	}
	for _, c := range cands {
		if stem, last := key(c); last == "g" {
			at[stem] = c
		}
	}
	for _, c := range cands {
		if stem, last := key(c); last == "d" && at[stem] != nil && !c.forced {
			at[stem].index, c.index = 1, 2
		}
	}
}

// sideLetter says whether a last letter is a side rather than a count: French
// writes G and D for left and right.
func sideLetter(w word, ws []word) bool {
	if w.text != "d" {
		return false
	}
	for _, o := range ws {
		for _, french := range []string{"echappement", "roue", "avant", "arriere", "droite", "gauche"} {
			if o.text == french {
				return true
			}
		}
	}
	return false
}
