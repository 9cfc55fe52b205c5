package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Wheel speeds may be told in turns, or in teeth of a sensor's ring a second.

const (
	usualCircumference = 2.0 // m, where the sheet tells none
	// toothNear is how near the teeth counted must be to a whole number, as a share: what
	// tyres and sheets leave open.
	toothNear = 0.06
	mostTeeth = 200
)

// turning reads a speed of travel that is told in turns or teeth.
func turning(q quantity.Name, stated quantity.Unit, b *behaviour, ctx *context) reading {
	c := ctx.circumference
	if c <= 0 {
		c = usualCircumference
	}
	turns := stated.Factor / (2 * math.Pi) // a second
	if stated.Dim == quantity.DimFrequency {
		turns = stated.Factor
	}
	u := quantity.Unit{Symbol: stated.Symbol, Dim: quantity.DimSpeed, Factor: turns * c}
	r := judge(q, u, b, ctx)
	r.fit = max(r.fit, 0.6)
	r.told = true
	return r
}

// turns says whether a channel is a speed of travel told in turns or teeth.
func turns(c *Channel, cand *candidate) bool {
	return isSpeed(c.Quantity) && cand.known && (cand.unit.Dim == quantity.DimRotation || cand.unit.Dim == quantity.DimFrequency)
}

// countTeeth finds how many readings of a wheel go to a turn, against the positions or a
// speed in a unit of speed; without either a wheel that reads like a speed turns once.
func countTeeth(set *Set, cands []*candidate) {
	var list []int
	for i := range set.Channels {
		if c := &set.Channels[i]; turns(c, cands[i]) {
			c.toldUnit = false // until it is settled
			list = append(list, i)
		}
	}
	if len(list) == 0 {
		return
	}
	ref, how := referenceSpeed(set, positionSpeed(set))
	for _, i := range list {
		c := &set.Channels[i]
		if ref.Len() < 10 {
			if top(c.Trace) > 140 { // m/s
				c.Quantity = quantity.Unknown
				c.problem("teeth a second, and nothing to count them against")
			}
			continue
		}
		fast := 0.3 * top(ref)
		var ratios []float64
		for k, t := range ref.T {
			if v, ok := near(c.Trace, t, 1.5/max(c.RateHz, 1)); ok && v > 0 && ref.V[k] > max(3, fast) {
				ratios = append(ratios, v/ref.V[k])
			}
		}
		if len(ratios) < 10 {
			continue
		}
		r := stats.Select(ratios, len(ratios)/4) // driven wheels spin for a while
		n := math.Round(r)
		if n < 1 || n > mostTeeth || math.Abs(r/n-1) > toothNear {
			continue
		}
		c.toldUnit = true
		if n > 1 {
			c.rescale(1 / n)
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q reads %.0f times a turn, as %s shows", c.Name, n, how))
		}
	}
}
