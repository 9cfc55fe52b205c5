package reconstruct

import (
	"math"

	"traplight/internal/num/stats"
)

// clutchLock is when the clutch closed after the launch: engine speed, which flares
// as the throttle opens, is drawn down to the wheels and turns upward again.
func clutchLock(g *grid, launch float64) (float64, bool) {
	i0, i1 := g.index(launch-0.1), g.index(launch+0.4)
	top := i0
	for i := i0; i <= i1; i++ {
		if g.engine[i] > g.engine[top] || math.IsNaN(g.engine[top]) {
			top = i
		}
	}
	low := top
	for i := top; i < g.n && g.at(i) < launch+3; i++ {
		if math.IsNaN(g.engine[i]) {
			continue
		}
		if g.engine[i] < g.engine[low] {
			low = i
		}
		if g.engine[i] > 1.08*g.engine[low] && i > low+3 {
			if g.engine[low] < 0.985*g.engine[top] {
				return g.at(low), true
			}
			break
		}
	}
	return 0, false
}

// reopening is the time, s, from the lowest manifold pressure in a shift to a throttle
// 0.3 open: pressure turns when the blade leaves its stop, and an actuator or a foot
// goes a third of the way in some hundredths. Chosen with simulated logs in view, 26 to
// 30 ms in both simulators; no source.
const reopening = 0.028

// shut stands for a throttle channel about one shift, by manifold pressure between two
// times: 0 until it has turned upward again, else 1. nil when pressure never fell away,
// the throttle having stayed open.
func (g *grid) shut(from, to float64) []float64 {
	if g.manifold == nil {
		return nil
	}
	i0, i1 := g.index(from), g.index(to)
	before, low := g.manifold[i0], i0
	for i := g.index(from - 0.35); i < i0; i++ {
		before = math.Max(before, g.manifold[i])
	}
	for i := i0; i <= i1; i++ {
		if g.manifold[i] < g.manifold[low] {
			low = i
		}
	}
	if !(g.manifold[low] < 0.6*before) || low == i1 {
		return nil
	}
	// where the line through the first of its rise meets the lowest: the bottom is flat
	pass := func(share float64) float64 {
		level := g.manifold[low] + share*(before-g.manifold[low])
		for i := i1; i > low; i-- {
			if g.manifold[i-1] < level && g.manifold[i] >= level {
				return g.at(i-1) + gridStep*(level-g.manifold[i-1])/(g.manifold[i]-g.manifold[i-1])
			}
		}
		return math.NaN()
	}
	t1, t2 := pass(0.05), pass(0.15)
	turn := t1 - 0.5*(t2-t1)
	if !(turn > g.at(low)-0.02) {
		turn = g.at(low)
	}
	out := make([]float64, g.n)
	back := g.index(turn + reopening)
	for i := range out {
		if i < i0 || i >= back {
			out[i] = 1
		}
	}
	return out
}

// eased is when the drive was taken away at the end of a span in gear, s, where nothing
// feels torque: a throttle that closes, else the moment at which engine speed leaves
// the line on which it rose in gear, up with the clutch open or down with the throttle.
// Wheels that spin give back what they hold when the engine is cut: they and the engine
// fall together until the clutch opens, and so long the hubs carry torque. next is when
// the new ratio was first seen, s.
func (d *driveline) eased(g *grid, since, until, next float64, spinning bool) (float64, bool) {
	at := -1.0
	for i := g.index(until - 0.6); i < g.index(until+0.05); i++ {
		if g.throttle[i] >= 0.35 && g.throttle[i+1] < 0.35 {
			at = g.at(i + 1)
		}
	}
	if at > 0 {
		return at, true
	}
	from := math.Max(since+0.1, until-1.2)
	var rate []float64
	for i := g.index(from); i <= g.index(until); i++ {
		if !math.IsNaN(g.dEngine[i]) {
			rate = append(rate, g.dEngine[i])
		}
	}
	if len(rate) < 25 {
		return 0, false
	}
	usual := stats.Median(rate)
	for i := range rate {
		rate[i] = math.Abs(rate[i] - usual)
	}
	off := math.Max(math.Max(0.5*math.Abs(usual), 4*stats.Median(rate)), 150)
	// back to the last 60 ms in which it rose as usual
	steady, k := 0, -1
	for i := g.index(until + 0.02); i > g.index(from); i-- {
		if math.Abs(g.dEngine[i]-usual) < off {
			if steady++; steady == 6 {
				k = i + 6
				break
			}
		} else {
			steady = 0
		}
	}
	if k < 0 || k >= g.n {
		return 0, false
	}
	if spinning && g.dEngine[k] < usual {
		if t, ok := g.clutchOpens(k, next); ok {
			return t, true
		}
	}
	// the corner lies where the smoothed rate is half way to what follows
	far := g.dEngine[k]
	for i := k; i < min(g.n, k+6) && g.at(i) < until+0.05; i++ {
		if math.Abs(g.dEngine[i]-usual) > math.Abs(far-usual) {
			far = g.dEngine[i]
		}
	}
	for i := k - 6; i < min(g.n-1, k+6); i++ {
		if math.Abs(g.dEngine[i]-usual) > math.Abs(far-usual)/2 {
			return g.at(i), true
		}
	}
	return g.at(k), true
}

// clutchOpens is when an engine that falls with spinning wheels, from sample k on,
// stops falling at half its steepest: the clutch has left the wheels. next is when
// the new ratio was first seen, s.
func (g *grid) clutchOpens(k int, next float64) (float64, bool) {
	steep, at := 0.0, k
	for i := k - 4; i < g.n && g.at(i) < math.Min(next-0.04, g.at(k)+0.15); i++ {
		if g.dEngine[i] < steep {
			steep, at = g.dEngine[i], i
		}
	}
	for i := at; i < g.n && g.at(i) < next-0.02; i++ {
		if g.dEngine[i] > steep/2 {
			return g.at(i), true
		}
	}
	return 0, false
}

// spinning reports whether the tyres spun before t, by engine speed in gear.
func (d *driveline) spinning(g *grid, t float64) bool {
	for i := g.index(t - 0.15); i < g.index(t-0.03); i++ {
		om := d.omega(g, i)
		if !math.IsNaN(om) && g.v[i] > 3 && om*d.radius/g.v[i]-1 > 0.15 {
			return true
		}
	}
	return false
}
