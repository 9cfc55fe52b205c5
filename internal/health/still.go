package health

import (
	"math"
	"strings"
)

// effortLeast is by how much, of the rotor's gain in speed, the back-pressure must rise at
// least, 1: a compressor that needs 10 % more speed for its boost and flow takes 20 % more
// work, by Euler's equation, which the turbine has to find.
const effortLeast = 0.5

// effortStill tells against a rotor that turns faster, while nothing before the turbine
// shows what drives it and nothing after the compressor what it has become: a natural
// logarithm of odds, 0 or less.
func effortStill(c *candidate, obs []*observation) float64 {
	if c.main.id != "turbo speed" && !strings.HasPrefix(c.main.id, "turbo speed ") || c.main.rows == nil || c.main.hit.Size < 0.05 {
		return 0
	}
	for _, o := range obs {
		if !(role{watch: "back-pressure"}).covers(o.id) || o.blind || o.rows == nil || o.model == nil {
			continue
		}
		h, ok := o.sizeAt(c.main)
		if !ok {
			continue
		}
		want, sd := effortLeast*c.main.hit.Size, h.SD*math.Sqrt(o.model.excess)
		if want > 3*sd && h.Size < want/2 {
			return -7
		}
	}
	return 0
}

// Least and most by which the exhaust of a bank changes with its mixture, K per lambda
// (common practice: 20 to 30 K for 0.03 on the rich side; no source).
const exhaustLeast, exhaustMost = 300.0, 1000.0

// otherStill is what tells against a bank's mixture when its lambda moves and no exhaust
// temperature does, or the other way round, where both are logged: a natural logarithm
// of odds, 0 or less.
func otherStill(c *candidate, obs []*observation) float64 {
	id, per := "exhaust apart", exhaustLeast
	if strings.HasPrefix(c.main.id, "exhaust apart") {
		id, per = "lambda apart", 1/exhaustMost
	}
	want, seen, worst := math.Abs(c.main.hit.Size)*per, false, 0.0
	for _, o := range obs {
		if !(role{watch: id}).covers(o.id) || o.blind || o.rows == nil || o.model == nil || c.main.rows == nil {
			continue
		}
		h, ok := o.sizeAt(c.main)
		if !ok {
			continue
		}
		sd, x := h.SD*math.Sqrt(o.model.excess), math.Abs(h.Size)
		if want < 3*sd || x > want/2 || o.evidence > 2 {
			return 0
		}
		seen, worst = true, min(worst, ((x*x)-(want-x)*(want-x))/(2*sd*sd))
	}
	if !seen {
		return 0
	}
	return max(-7, worst)
}
