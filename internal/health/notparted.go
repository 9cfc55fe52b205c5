package health

import (
	"slices"
	"strings"
)

// nearly is how far behind the likeliest kind's score, natural logarithm of odds, another
// one's may be for it to be named beside it.
const nearly = 4.0

// mostOthers is how many kinds are named beside the likeliest one.
const mostOthers = 3

// sameWithout are kinds that show the same, at the watch whose name begins so, where none of
// the others named has looked.
var sameWithout = []struct {
	kind    Kind
	at      string
	lacking []string
	other   Kind
}{
	{MixtureLean, "lambda", []string{"voltage"}, Electrical},
	{MixtureLean, "lambda", []string{"lambda apart", "exhaust apart"}, MixtureImbalance},
	{MixtureLean, "lambda", []string{"fuel over manifold"}, FuelSupply},
	{FuelSupply, "fuel over manifold", []string{"voltage"}, Electrical},
	{Underboost, "boost", []string{"turbo speed", "back-pressure", "wastegate"}, BoostLeak},
	{BoostLeak, "boost", []string{"turbo speed", "back-pressure", "wastegate"}, Underboost},
	{Driveline, "torque over air", []string{"lambda", "exhaust temperature"}, CylinderDown},
	{CylinderDown, "torque over air", []string{"lambda", "exhaust temperature"}, Driveline},
}

// notParted are the kinds that the log does not part from the likeliest of the candidates: those
// whose score comes near, and those that could show no otherwise for want of a channel.
func (j *judge) notParted(cs []candidate) []Kind {
	c, out := cs[0], []Kind(nil)
	also := func(k Kind) {
		if k != none && k != c.kind && len(out) < mostOthers && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	for _, o := range cs[1:] {
		if o.score > c.score-nearly {
			also(o.kind)
		}
	}
	for _, s := range sameWithout {
		if s.kind == c.kind && strings.HasPrefix(c.main.id, s.at) && !j.judged(s.lacking) {
			also(s.other)
		}
	}
	return out
}

// looks are what to look at first for the likeliest kind, and for each that is not parted from
// it the first thing.
func (c *candidate) looks(others []Kind) []string {
	out := slices.Clone(c.lookFor(c.kind))
	for _, o := range others {
		if l := c.lookFor(o); len(l) > 0 && !slices.Contains(out, l[0]) {
			out = append(out, l[0])
		}
	}
	return out
}

// lookFor is what to look at for a kind. A coolant short of pressure has lost some; gas from a
// cylinder only raises it.
func (c *candidate) lookFor(k Kind) []string {
	if k == CoolantPressure && c.main.id == "coolant pressure" && c.main.sign() < 0 {
		return lookAt[k][1:]
	}
	return lookAt[k]
}
