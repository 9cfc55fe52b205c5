package airpath

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/num/trend"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

const (
	// How far before torque falls through half the driver or the electronics begin
	// a shift when no throttle tells it, s: 0.08 for a lifted throttle and a clutch,
	// 0.02 for an ignition cut. Common practice, no source.
	beginLead, beginLeadSD = 0.04, 0.025
	// Throttle loss that begins a shift, 0–1.
	throttleLoss = 0.03
)

// begin is when a shift begins, before torque falls.
type begin struct {
	quantity.Estimate      // s, run clock
	lifted            bool // the throttle tells it
}

// shiftBegin finds the moment at which the driver closes the throttle; where it
// is held open, a little before torque falls.
func shiftBegin(p *pass.Pass, set *dictionary.Set, i int) begin {
	s := p.Shifts[i]
	held := begin{Estimate: heldBegin(s, set)}
	c := set.First(quantity.Throttle)
	if c == nil {
		return held
	}
	from := s.Start.Value - 0.4
	if i > 0 {
		from = max(from, p.Shifts[i-1].End.Value)
	}
	before := c.Trace.Slice(from, s.Start.Value-0.15)
	if before.Len() < 2 {
		return held
	}
	open := stats.Median(before.V)
	x := c.Trace.Slice(s.Start.Value-0.25, s.Start.Value+0.1)
	for k := range x.T {
		if x.V[k] > open-throttleLoss {
			continue
		}
		// A shift that is begun closes the throttle for good.
		if k+1 < x.Len() && x.V[k+1] > x.V[k]+throttleLoss/3 {
			continue
		}
		at, step := x.T[k], 0.0
		if k > 0 {
			step = x.T[k] - x.T[k-1]
			// Back along the fall to where it left the open stop.
			if d := x.V[k-1] - x.V[k]; d > 0 {
				at -= step * min(1, (open-throttleLoss/2-x.V[k])/d)
			}
		}
		return begin{Estimate: quantity.Estimate{Value: at, SD: max(0.004, 0.3*step)}, lifted: true}
	}
	return held
}

// heldBegin is the begin of a shift with the throttle held open: where engine
// speed stops rising because the engine is cut, else the usual lead over the fall
// of torque.
func heldBegin(s pass.Shift, set *dictionary.Set) quantity.Estimate {
	e := quantity.Estimate{Value: s.Start.Value - beginLead, SD: math.Hypot(beginLeadSD, s.Start.SD)}
	c := set.First(quantity.EngineSpeed)
	if c == nil {
		return e
	}
	from, to := s.Start.Value-0.13, s.Start.Value+0.05
	x := c.Trace.Slice(from, to)
	if x.Len() < 8 {
		return e
	}
	top, k := math.Inf(-1), 0
	for i, v := range x.V {
		if v > top {
			top, k = v, i
		}
	}
	if k < 2 || k+2 >= x.Len() || x.T[k] > s.Start.Value+0.02 {
		return e
	}
	return quantity.Estimate{Value: x.T[k], SD: 0.012}
}

// shiftSpeeds sets the engine speed at which the driver began each shift.
func shiftSpeeds(p *pass.Pass, set *dictionary.Set, begins []begin) {
	c := set.First(quantity.EngineSpeed)
	if c == nil {
		return
	}
	noise := max(trend.NoiseFromDifferences(c.Trace.V), c.Resolution*c.Resolution/12, 1e-4)
	for i, s := range p.Shifts {
		at := begins[i].Value
		x := c.Trace.Slice(at-0.4, at+0.004)
		if x.Len() < 4 {
			continue
		}
		v, _, _, ok := trend.Fit(x.T, x.V, noise).At(at)
		if !ok {
			continue
		}
		for k := range p.Gears {
			g := &p.Gears[k]
			if g.Gear == s.From && g.Start < s.Start.Value && g.End > s.Start.Value-1 {
				g.ShiftEngineSpeed = &v
			}
		}
	}
}
