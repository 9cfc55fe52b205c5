package turbomap

import "math"

// Region says where on a map a point lies.
type Region string

// The regions.
const (
	Inside     Region = "inside"
	Surge      Region = "surge"           // less flow than the map's least at that pressure ratio
	Choke      Region = "choke"           // more flow than the map's greatest at that pressure ratio
	TooFast    Region = "over the map"    // above the highest speed line
	BelowLines Region = "below the lines" // below the lowest speed line; by similarity
)

// Place is where an operating point lies.
type Place struct {
	Region     Region
	Speed      float64 // rad/s corrected; a lower bound where Region is TooFast or Choke
	Efficiency float64 // 0–1; NaN where the map does not tell, as outside of it
	Share      float64 // 0–1, of the way from surge to choke on that speed line
	// SurgeMargin is by how much flow may fall before surge at this pressure ratio, 1 of
	// the flow; negative beyond.
	SurgeMargin float64
	// ChokeMargin is by how much flow may rise before choke on this speed line, 1 of the
	// flow; negative beyond.
	ChokeMargin float64
}

const headExponent = 0.4 / 1.4 // (γ−1)/γ of air

// At returns pressure ratio, 1, and efficiency, 0–1, at corrected speed, rad/s, and the
// share u, 0–1, of the way from surge to choke, with the flow there, kg/s corrected.
// Beyond the highest line the highest is taken.
func (c *Compressor) At(speed, u float64) (flow, ratio, eff float64) {
	u = min(max(u, 0), 1)
	scale := 1.0
	if low := c.Speeds[0]; speed < low {
		scale, speed = speed/low, low
	}
	a, b := c.flowLimit[0].at(speed), c.flowLimit[1].at(speed)
	x := u * (shares - 1)
	i := min(int(x), shares-2)
	f := x - float64(i)
	lo, hi := &c.grid[i], &c.grid[i+1]
	ratio = (1-f)*lo.ratio.at(speed) + f*hi.ratio.at(speed)
	eff = (1-f)*lo.eff.at(speed) + f*hi.eff.at(speed)
	flow = a + u*(b-a)
	if scale < 1 {
		flow *= scale
		head := (math.Pow(ratio, headExponent) - 1) * scale * scale
		ratio = math.Pow(1+head, 1/headExponent)
	}
	return flow, ratio, eff
}

// limits are surge and choke flow, kg/s, at a speed, rad/s.
func (c *Compressor) limits(speed float64) (surge, choke float64) {
	surge, _, _ = c.At(speed, 0)
	choke, _, _ = c.At(speed, 1)
	return surge, choke
}

// ratioAt is the pressure ratio, 1, that speed, rad/s, gives at a flow, kg/s: left of
// surge that of surge, right of choke nothing.
func (c *Compressor) ratioAt(speed, flow float64) float64 {
	surge, choke := c.limits(speed)
	if flow > choke {
		return 0
	}
	_, r, _ := c.At(speed, (flow-surge)/(choke-surge))
	return r
}

// Locate finds the point of a corrected flow, kg/s, and pressure ratio, 1. It panics on
// a map that was not built.
func (c *Compressor) Locate(flow, ratio float64) Place {
	top := c.Speeds[len(c.Speeds)-1]
	p := Place{Efficiency: math.NaN()}
	surgeFlow := c.surgeFlow(ratio)
	p.SurgeMargin = 1 - surgeFlow/flow
	_, topChoke := c.limits(top)
	switch {
	case flow > topChoke:
		// No line passes it at any ratio.
		p.Region, p.Speed, p.Share = Choke, top, 1
		p.ChokeMargin = topChoke/flow - 1
		return p
	case c.ratioAt(top, flow) < ratio:
		p.Region, p.Speed = TooFast, top
		surge, choke := c.limits(top)
		p.Share = min(max((flow-surge)/(choke-surge), 0), 1)
		p.ChokeMargin = choke/flow - 1
		if flow < surge {
			p.Region = Surge
		}
		return p
	}
	lo, hi := 0.0, top
	for i := 0; i < 60 && hi-lo > 1e-9*top; i++ {
		if mid := (lo + hi) / 2; c.ratioAt(mid, flow) < ratio {
			lo = mid
		} else {
			hi = mid
		}
	}
	p.Speed = hi
	surge, choke := c.limits(hi)
	u := (flow - surge) / (choke - surge)
	p.Share = min(max(u, 0), 1)
	p.ChokeMargin = choke/flow - 1
	_, r, eff := c.At(hi, p.Share)
	switch {
	case u < 0:
		p.Region = Surge
	case r > ratio*1.002 && u > 0.999:
		// At its very choke the line still gives more: the ratio lies below what the digitised
		// line reaches, where it falls steeply.
		p.Region, p.ChokeMargin = Choke, 0
	case hi < c.Speeds[0]:
		p.Region, p.Efficiency = BelowLines, eff
	default:
		p.Region, p.Efficiency = Inside, eff
	}
	return p
}

// surgeFlow is the least flow, kg/s corrected, at a pressure ratio, 1: where the surge
// ends of the lines pass it. Above the highest line it goes on in proportion to the
// ratio less one.
func (c *Compressor) surgeFlow(ratio float64) float64 {
	top := c.Speeds[len(c.Speeds)-1]
	w, r, _ := c.At(top, 0)
	if ratio >= r {
		return w * (ratio - 1) / (r - 1)
	}
	lo, hi := 0.0, top
	for i := 0; i < 60 && hi-lo > 1e-9*top; i++ {
		mid := (lo + hi) / 2
		if _, r, _ := c.At(mid, 0); r < ratio {
			lo = mid
		} else {
			hi = mid
		}
	}
	w, _, _ = c.At(hi, 0)
	return w
}
