package motion

import "math"

// In a hole nothing tells the car's speed but what the engine, or driven wheels, show of it. The
// wander allowed to a pull elsewhere is that between two readings; here a change of gear, a lift
// or tyres that let go may lie in between, and slip may be anything.
const (
	holeStep = 3.0  // m/s² per √s, wander of acceleration where nothing is read: a shift takes 5 to 9 m/s² away and gives them back (common practice, no source)
	gearStep = 1.5  // m/s² per √s, the same where the shifts in the hole are known and told as breaks
	holeSlip = 0.05 // 1, what a driven wheel's slip wanders by while nothing tells it
)

// inHoles marks the knots that lie in a hole.
func (r *Result) inHoles(p *Problem) {
	if len(p.Holes) == 0 {
		return
	}
	r.holed = make([]bool, r.sp.n)
	for _, h := range p.Holes {
		from, to := int(math.Floor((h.From-r.sp.start)/r.sp.step)), int(math.Ceil((h.To-r.sp.start)/r.sp.step))
		for i := max(0, from); i <= to && i < len(r.holed); i++ {
			r.holed[i] = true
		}
	}
}

// openJumps gives the steps of acceleration in holes their wider wander.
func (r *Result) openJumps(p *Problem) {
	if r.holed == nil {
		return
	}
	wander := holeStep
	if p.GearsTold {
		wander = gearStep
	}
	most := sq(r.stepSD) / (sq(wander) * r.sp.step)
	for i := range r.jump {
		if r.holed[i] {
			r.jump[i] = math.Min(r.jump[i], most)
		}
	}
}

// slack is by how much the weight of the wander of a channel's error from knot i to the next falls
// in a hole, 1.
func (r *Result) slack(ch *channel, i int) float64 {
	if r.holed == nil || !r.holed[i] || ch.src.Kind != DrivenWheel {
		return 1
	}
	return math.Min(1, sq(ch.walkSD/holeSlip))
}
