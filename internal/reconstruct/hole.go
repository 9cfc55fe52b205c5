package reconstruct

import (
	"math"
	"sort"

	"traplight/internal/dictionary"
	"traplight/internal/force"
	"traplight/internal/motion"
)

// holeLeast is how long, s, nothing may tell speed until what lies between two readings is a hole.
const holeLeast = 0.25

// holes are the stretches between two times in which neither rolling wheels nor a receiver nor an
// accelerometer tell how the car moves, in the car's own time.
func (s *signals) holes(from, to, latency float64) []motion.Span {
	var told []float64
	add := func(c *dictionary.Channel, lag float64) {
		for i, t := range c.Trace.T {
			if t -= lag; t > from && t < to && !math.IsNaN(c.Trace.V[i]) {
				told = append(told, t)
			}
		}
	}
	for _, c := range s.undriven {
		add(c, 0)
	}
	for _, c := range s.sat {
		add(c, latency)
	}
	if s.accel != nil {
		add(s.accel, 0)
	}
	if len(told) == 0 {
		return nil
	}
	told = append(told, from, to)
	sort.Float64s(told)
	var out []motion.Span
	for i := 1; i < len(told); i++ {
		if told[i]-told[i-1] > holeLeast {
			out = append(out, motion.Span{From: told[i-1], To: told[i]})
		}
	}
	return out
}

// A start between two readings of a receiver: the clutch takes up within 0.05 to 0.25 s, of which
// readings that are as far apart show little, and the line through the first speeds is drawn from few.
const (
	sparseStep  = 0.15 // s, spacing of readings from which this counts
	sparseLeast = 0.03 // s, its standard deviation
	sparseShare = 0.12 // 1, and per spacing
)

// sparse is the standard deviation, s, of a start that a receiver's readings tell alone and are too
// far apart to show; else 0.
func (s *signals) sparse() float64 {
	if len(s.undriven) > 0 || s.accel != nil || len(s.sat) == 0 {
		return 0
	}
	step := math.Inf(1)
	for _, c := range s.sat {
		if c.RateHz > 0 {
			step = math.Min(step, 1/c.RateHz)
		}
	}
	if step < sparseStep || math.IsInf(step, 1) {
		return 0
	}
	return math.Hypot(sparseLeast, sparseShare*step)
}

// within reports whether t lies in one of the spans.
func within(spans []motion.Span, t float64) bool {
	for _, h := range spans {
		if t > h.From && t < h.To {
			return true
		}
	}
	return false
}

// inHole marks the samples within holes at which the driven wheels may tell the car's speed: the
// movement there is bridged, so slip against it says nothing. A car under power does not slow, so
// that wheels which turn faster than they later do, than the car does behind the hole, or than any
// tyre could have brought it to, spin.
func (d *driveline) inHole(g *grid, b *force.Body, sur force.Surroundings, h motion.Span, until float64) []bool {
	i0, i1 := g.index(h.From), g.index(math.Min(h.To, until))
	out := make([]bool, g.n)
	most := math.Inf(1)
	if h.To < until && i1 < g.n-1 {
		most = g.v[i1]
	}
	v := nans(g.n)
	for i := i1; i >= i0; i-- {
		om := d.omega(g, i)
		if math.IsNaN(om) || om*b.Radius < 4 {
			continue
		}
		v[i] = om * b.RadiusAt(om*b.Radius)
		most = math.Min(most, v[i])
		out[i] = v[i] < most*(1+spinLimit)+spinBy
	}
	far := g.v[i0] + spinBy
	for i := i0; i <= i1; i++ {
		force := b.CeilingTorque(sur, gripMost, far) / b.RadiusAt(far)
		far += gridStep * math.Max(0, force-b.TyreForce(sur, far, 0)) / b.Mass
		if out[i] && v[i] > far*(1+spinLimit)+spinBy {
			out[i] = false
		}
	}
	return out
}
