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
// speed in a unit of speed; without either a wheel that reads like a speed turns once. A driven
// speed may be that of the shaft before the final drive.
func countTeeth(set *Set, cands []*candidate, opts *Options) {
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
	final := opts.FinalDrive
	ref, how := referenceSpeed(set, positionSpeed(set))
	for _, i := range list {
		c := &set.Channels[i]
		if ref.Len() < 10 {
			if c.Quantity == quantity.DrivenSpeed && final > 1 && beforeFinal(set, c, opts.Circumference) {
				c.byShaft(set, final, "engine speed")
			} else if top(c.Trace) > 140 { // m/s
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
		if c.Quantity == quantity.DrivenSpeed && final > 1 && math.Abs(r/final-1) < toothNear {
			c.toldUnit = true
			c.byShaft(set, final, how)
			continue
		}
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

// shaftOverEngine is the share of the engine's turns that only a shaft before the final drive
// makes: it keeps to them over the gear, that is 1 or more in the tall gears, and a wheel to a
// third of that and less. Common practice, no source.
const shaftOverEngine = 0.5

// beforeFinal says whether a turning channel, read as if it were a wheel of that circumference, m,
// is read before the final drive: engine speed tells.
func beforeFinal(set *Set, c *Channel, circumference float64) bool {
	e := set.First(quantity.EngineSpeed)
	if e == nil || e.Trace.Len() < 20 {
		return false
	}
	if circumference <= 0 {
		circumference = usualCircumference
	}
	radius := circumference / (2 * math.Pi)
	var shares []float64
	for k, t := range e.Trace.T {
		if v, ok := near(c.Trace, t, 1.5/max(c.RateHz, 1)); ok && v > 0 && e.Trace.V[k] > 0.5*top(e.Trace) {
			shares = append(shares, v/radius/e.Trace.V[k])
		}
	}
	return len(shares) >= 20 && stats.Select(shares, 9*len(shares)/10) > shaftOverEngine
}

// byShaft brings a speed read before the final drive to the wheels.
func (c *Channel) byShaft(set *Set, final float64, how string) {
	c.rescale(1 / final)
	set.Notes = append(set.Notes, fmt.Sprintf("channel %q is read on the shaft before the final drive (by %s): %.4g turns go to one of the wheels", c.Name, how, final))
}
