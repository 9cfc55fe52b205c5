package reconstruct

import (
	"math"

	"traplight/internal/force"
	"traplight/internal/motion"
	"traplight/internal/trace"
)

const (
	spinLimit = 0.09 // 1, apparent slip beyond which a tyre may spin
	edgeGuard = 0.08 // s about the edges of shifts in which shafts still ring
)

// tell gathers what the first sweep's gears teach the second: where the driven
// tyres hold, and the speed that the engine shows in gear when no driven wheel has
// a sensor. nil when nothing is taught.
func (s *signals) tell(w *sweep, g *grid, d *driveline, b *force.Body, sur force.Surroundings) *told {
	end := math.Min(d.lift, w.braked)
	hold := func(i int) bool {
		t := g.at(i)
		if t < w.launch+0.3 || t > end || g.v[i] < 4 {
			return false
		}
		if d.near(t) {
			return false
		}
		om := d.omega(g, i)
		if math.IsNaN(om) {
			return false
		}
		slip := om*b.RadiusAt(g.v[i])/g.v[i] - 1
		return math.Abs(slip) < spinLimit
	}
	out := &told{latency: satLatency}
	for k := range d.shifts {
		sh := &d.shifts[k]
		if s.byDriven() || within(w.holes, sh.start()) || within(w.holes, sh.right) {
			out.breaks = append(out.breaks, motion.Span{From: sh.start() - 0.06, To: sh.start() + 0.06}, motion.Span{From: sh.right - 0.04, To: math.Max(sh.end(), sh.right) + 0.06})
		}
	}
	if len(w.holes) > 0 {
		seen := hold
		blind := make([]bool, g.n)
		for _, h := range w.holes {
			for i, ok := range d.inHole(g, b, sur, h, end) {
				blind[i] = blind[i] || ok
			}
		}
		hold = func(i int) bool {
			if !within(w.holes, g.at(i)) {
				return seen(i)
			}
			return blind[i] && g.at(i) > w.launch+0.3 && !d.near(g.at(i))
		}
	}
	if s.byDriven() {
		out.slip = d.unslip(g, b, sur)
		by := d.holds(g, b, sur, out.slip.slip, w.launch, end)
		hold = func(i int) bool { return by[i] }
	}
	if v, sd, ok := w.res.Param("latency"); ok && sd < 0.05 {
		out.latency = v
	}
	for i := 0; i < g.n; {
		if !hold(i) {
			i++
			continue
		}
		j := i
		for j < g.n && hold(j) {
			j++
		}
		if j-i >= 15 {
			out.grip = append(out.grip, motion.Span{From: g.at(i), To: g.at(j - 1)})
		}
		i = j
	}
	if len(out.grip) == 0 {
		return nil
	}
	// between two gears the clutch is open and the car slows by its own resistance: that
	// tells a late receiver when the pull really stopped
	for k := range d.shifts {
		sh := &d.shifts[k]
		if sh.right-sh.start() > 1.5 {
			continue
		}
		for t := sh.start() + 0.05; t < sh.right-0.06; t += 0.02 {
			v := g.v[g.index(t)]
			out.rolls.T = append(out.rolls.T, t)
			out.rolls.V = append(out.rolls.V, b.FreeDecel(sur, v))
		}
	}
	if !d.hasWheel && s.engine != nil {
		out.engine = d.engineSpeed(s.engine.Trace, out.grip, b.Radius)
	} else if len(s.driven) == 0 {
		return nil
	}
	return out
}

// near tells that a shift is on at t, or has just been or will be.
func (d *driveline) near(t float64) bool {
	for k := range d.shifts {
		if t > d.shifts[k].start()-edgeGuard && t < d.shifts[k].end()+edgeGuard {
			return true
		}
	}
	return false
}

// engineSpeed is the speed of the car, m/s, that the engine shows in gear where
// tyres hold; radius is the rolling radius, m.
func (d *driveline) engineSpeed(engine trace.Trace, grip []motion.Span, radius float64) trace.Trace {
	var out trace.Trace
	for _, sp := range grip {
		x := engine.Slice(sp.From, sp.To)
		for i, t := range x.T {
			gear := 0
			for _, q := range d.spans {
				if t >= q.From && t <= q.To {
					gear = q.Gear
				}
			}
			if gear > 0 {
				out.T = append(out.T, t)
				out.V = append(out.V, x.V[i]/d.ratios[gear-1]*radius)
			}
		}
	}
	return out
}
