package health

import "fmt"

// basis says what the answer rests on.
func (j *judge) basis() string {
	out := j.rests()
	for _, s := range j.unlike {
		out += "; " + s
	}
	return out
}

// tellUnlike notes in what this pass is unlike all earlier ones, so that their word
// counts for less.
func (j *judge) tellUnlike(differ []covariate) {
	w := j.opts.Units
	for _, c := range differ {
		switch c.name {
		case "temperature":
			j.unlike = append(j.unlike, "the day of "+w.Temperature(j.ambient)+" is unlike theirs, which leaves levels in doubt")
		case "tyres":
			j.unlike = append(j.unlike, "the sheet has other tyres than at some of them, which leaves the level of wheels against engine and road in doubt")
		case "grip":
			j.unlike = append(j.unlike, "the tyres found much less grip than on any of them, so that how much they slip says little of them")
		case "circumference":
			j.unlike = append(j.unlike, "the logger reckons with another circumference than at some of them")
		case "pressure":
			j.unlike = append(j.unlike, "the air's pressure of "+w.Pressure(j.baro)+" is unlike theirs")
		}
	}
	if _, most := farthest(j.past); most > 0 {
		if now := j.airOf().Manifold; now > 1.03*most {
			j.unlike = append(j.unlike, "manifold pressure is up to "+w.Pressure(now-most)+" higher than in any of them, and the doubt there larger")
		}
	}
	if j.recorders > 0 {
		j.unlike = append(j.unlike, counted(j.recorders, "relation")+" read under other channel names in earlier passes, or by other sensors, so that the level may have changed in between")
	}
}

func (j *judge) rests() string {
	if len(j.past) < fewPasses && j.opts.Shop != nil {
		return j.ownBasis() + ", its scatter beside that of " + counted(j.opts.Shop.Cars(), "other car") + " of the shop"
	}
	return j.ownBasis()
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (j *judge) ownBasis() string {
	n := 0
	for _, s := range j.past {
		if len(s.Digests) > 0 {
			n++
		}
	}
	switch n {
	case 0:
		return "physical rules and the pass's own course; no earlier clear pass of this car"
	case 1:
		return "own history of 1 pass"
	}
	return fmt.Sprintf("own history of %d passes", n)
}
