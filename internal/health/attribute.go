package health

import (
	"math"
	"sort"
)

// candidate is a kind with how well it explains what moved.
type candidate struct {
	kind    Kind
	score   float64        // natural logarithm of odds, up to a constant
	fit     float64        // score before the amounts had their say, likewise
	main    *observation   // the most telling watch that the kind must move
	covered []*observation // what it explains
	channel string         // the faulty sensor's quantity
	sign    float64        // +1 when that sensor reads too high
	doubted *channel       // that sensor's channel; nil unknown
}

// attribute scores every kind against what moved and returns them, the best
// first. Each watch's evidence counts for a kind that moves it that way, against
// one that moves it the other way or not at all; a watch that a kind should move
// and that stood still counts against it.
//
// verify, when not nil, gives a sensor's candidacy its quantitative test: see
// judge.sensorFits.
//
// amounts, when not nil, adjusts an engine kind's score by the sizes: see
// judge.amounts.
func attribute(obs []*observation, verify func(*candidate) float64, amounts func(*candidate, []*observation) float64) []candidate {
	var out []candidate
	for _, s := range signatures {
		if c, ok := score(s.kind, s.prior, rolesFor(s, obs), 1, obs, 0.5); ok {
			c.fit = c.score
			if amounts != nil {
				c.score += amounts(&c, obs)
			}
			if s.kind == Overboost {
				c.fit = c.score // its amounts say what belongs to it at all
			}
			out = append(out, c)
		}
	}
	if c, ok := score(none, -1, motionRoles, 1, obs, 0.6); ok && len(c.covered) > 1 {
		if amounts != nil {
			c.score += amounts(&c, obs)
		}
		out = append(out, c)
	}
	var sensors []candidate
	for q, roles := range sensorSigns {
		best, found := candidate{}, false
		for _, sign := range []float64{1, -1} {
			c, ok := score(Sensor, sensorPrior, roles, sign, obs, 0.6)
			if ok && (!found || c.score > best.score) {
				best, found = c, true
				best.channel, best.sign = q, sign
			}
		}
		if found {
			sensors = append(sensors, best)
		}
	}
	// The numbers are asked of the three likeliest only; the rest stay behind.
	rank(sensors)
	for i := range sensors {
		if i >= 3 {
			sensors[i].score = min(sensors[i].score, 0)
		} else if verify != nil {
			sensors[i].score += verify(&sensors[i])
		}
	}
	out = append(out, sensors...)
	rank(out)
	return out
}

// rank sorts candidates, the best first, with a fixed order among equals.
func rank(out []candidate) {
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.score != b.score {
			return a.score > b.score
		}
		if a.kind != b.kind {
			return a.kind < b.kind
		}
		return a.channel < b.channel
	})
}

// none marks the explanation that is no finding: the car's speed itself came out
// wrong.
const none Kind = ""

// motionRoles are the watches that rest on the car's speed; a wrong speed moves
// several of them at once.
var motionRoles = []role{
	{"engine over road", 0, must, 1}, {"tyre slip", 0, must, 1}, {"rolling radius", 0, must, 1}, {"wheel ", 0, must, 1}, {"torque over air", 0, may, 1},
}

// sensorPrior is the logarithm of how much rarer it is that a sensor drifts
// than that the engine does what the sensor shows: the engine is believed ill
// until something says otherwise.
const sensorPrior = -3.5

func score(kind Kind, prior float64, roles []role, sign float64, obs []*observation, unexplained float64) (candidate, bool) {
	c := candidate{kind: kind, score: prior}
	found := false
	// A cause cannot show less than what it causes: what may follow counts up to
	// what must move shows, and a little.
	cause := 0.0
	for _, o := range obs {
		e, way := o.moved()
		if r, ok := find(roles, o.id); ok && r.part == must && (r.sign == 0 || r.sign*sign == way) {
			cause += r.share * e
		}
	}
	for _, o := range obs {
		e, way := o.moved()
		r, ok := find(roles, o.id)
		if !ok {
			c.score -= unexplained * e
			continue
		}
		want := r.sign * sign
		agrees := r.sign == 0 || want == way
		switch {
		case e == 0:
		case agrees:
			owed := e
			if r.part == may {
				owed = min(e, cause+2)
			}
			c.score += r.share*owed - unexplained*(e-owed)
			if 2*owed >= e {
				c.covered = append(c.covered, o)
			}
			if r.part == must && o.evidence > 1 && (r.sign == 0 || want == o.sign()) {
				found = true
				if c.main == nil || o.evidence > c.main.evidence {
					c.main = o
				}
			}
		default:
			c.score -= 0.7 * e
		}
	}
	if !found {
		return c, false
	}
	// Stillness of what should have moved tells more the larger the rest is.
	for _, r := range roles {
		if r.part != should {
			continue
		}
		present, moved := false, false
		for _, o := range obs {
			if r.covers(o.id) && !o.blind {
				present = true
				e, way := o.moved()
				moved = moved || e > 0.5 && (r.sign == 0 || r.sign*sign == way)
			}
		}
		if present && !moved {
			size := math.Abs(c.main.hit.Size) / c.main.small
			c.score -= r.share * 3 * max(0, min(1, (size-1.5)/4))
		}
	}
	return c, true
}

func find(roles []role, id string) (role, bool) {
	for _, r := range roles {
		if r.covers(id) {
			return r, true
		}
	}
	return role{}, false
}

// total is the evidence that anything of the covered watches moved at all.
func (c *candidate) total() float64 {
	s := 0.0
	for _, o := range c.covered {
		s += o.evidence
	}
	return s
}
