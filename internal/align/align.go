// Package align brings two recorders of one pass onto one clock, by the speed that
// both saw, and joins their channels.
//
// Method. The speeds are compared on a common grid: the best offset by normalised
// correlation over every overlap, then offset and scale by least squares (Gauss and
// Newton). The offset's standard deviation comes from the residuals and the
// acceleration they stand against, with the residuals' own correlation in time
// counted. Source: the delay of one signal against another is known to about the
// noise of speed over acceleration and the root of independent samples (as in any
// text on time-delay estimation; e.g. Knapp and Carter 1976, IEEE Trans. ASSP 24, 320).
//
// Limits: the delay of a satellite receiver is part of the offset; the motion's own
// estimate of latency takes it out later. Two different passes of one car look alike:
// a match must hold the whole movement to about 2 %.
package align

import (
	"errors"
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// ErrNoMatch says that the two logs do not show the same movement.
var ErrNoMatch = errors.New("align: the logs do not show the same movement")

const (
	step    = 0.05  // s, grid of the comparison
	atLeast = 6.0   // s of movement that must overlap
	similar = 0.995 // 1, least correlation of the speeds
	fit     = 0.03  // 1, largest residual relative to the highest speed, root mean square
)

// Offset is the time to add to the second log's run clock to get the first's.
type Offset struct {
	Seconds quantity.Estimate // s
	Scale   float64           // 1, second speed over first
}

// Speed picks the channel by which a log is compared: a satellite, a wheel that rolls
// or drives, or the car's own speed. nil when there is none.
func Speed(set *dictionary.Set) *dictionary.Channel {
	for _, q := range []quantity.Name{quantity.GPSSpeed, quantity.VehicleSpeed, quantity.WheelSpeedRL, quantity.WheelSpeedFL, quantity.WheelSpeedRR, quantity.WheelSpeedFR, quantity.DrivenSpeed} {
		if c := set.First(q); c != nil && c.Trace.Len() > 20 {
			return c
		}
	}
	return nil
}

// Find aligns two speeds, m/s, each on its own run clock, s. It returns ErrNoMatch
// when no offset makes them the same movement.
func Find(a, b trace.Trace) (Offset, error) {
	va, ta := grid(a)
	vb, tb := grid(b)
	if len(va) == 0 || len(vb) == 0 {
		return Offset{}, ErrNoMatch
	}
	need := int(atLeast / step)
	at, best := coarse(va, vb, need)
	if best < similar {
		return Offset{}, ErrNoMatch
	}
	m := match{off: ta + float64(at)*step - tb, scale: 1}
	for pass := 0; pass < 12; pass++ {
		moved, ok := m.improve(va, ta, b, need)
		if !ok || pass > 4 && math.Sqrt(m.meanSquare) > fit*m.top {
			return Offset{}, ErrNoMatch
		}
		if math.Abs(moved) < 1e-5 {
			break
		}
	}
	if math.Abs(m.scale-1) > 0.08 {
		return Offset{}, ErrNoMatch
	}
	return Offset{Seconds: quantity.Estimate{Value: m.off, SD: m.sd}, Scale: m.scale}, nil
}

// coarse is the shift of b against a, in steps, with the best correlation, and that.
func coarse(a, b []float64, need int) (at int, best float64) {
	for k := -len(b) + need; k <= len(a)-need; k++ { // sample i of a against i−k of b
		if c := correlation(a, b, k, need); c > best {
			best, at = c, k
		}
	}
	return at, best
}

// match is an offset and scale on their way to the best, and how well they fit.
type match struct {
	off, sd    float64 // s
	scale      float64 // 1
	meanSquare float64 // m²/s², of the residuals before the last step
	top        float64 // m/s, highest speed compared
}

// improve takes one step of Gauss and Newton; va are a's speeds from ta on. It returns by how
// much the offset moved, s, and false when too little overlaps.
func (m *match) improve(va []float64, ta float64, b trace.Trace, need int) (moved float64, ok bool) {
	var h [2][2]float64
	var g [2]float64
	var res []float64
	m.top = 0
	for i, v := range va {
		t := ta + float64(i)*step
		w, ok := b.At(t - m.off)
		w2, ok2 := b.At(t - m.off - step)
		w1, ok1 := b.At(t - m.off + step)
		if !ok || !ok1 || !ok2 || math.IsNaN(v) || v < 1 {
			continue
		}
		slope := (w1 - w2) / (2 * step)
		r := v*m.scale - w // v·scale = w(t − off)
		// dr/doff = slope, dr/dscale = v
		j := [2]float64{slope, v}
		wt := 1 / (1 + sq(r/(0.02*math.Max(v, 5))))
		for p := range j {
			for q := range j {
				h[p][q] += wt * j[p] * j[q]
			}
			g[p] -= wt * j[p] * r
		}
		res = append(res, r)
		m.top = math.Max(m.top, v)
	}
	d := h[0][0]*h[1][1] - h[0][1]*h[1][0]
	if len(res) < need || d <= 0 {
		return 0, false
	}
	moved = (g[0]*h[1][1] - g[1]*h[0][1]) / d
	m.off += moved
	m.scale += (g[1]*h[0][0] - g[0]*h[1][0]) / d
	var inflate float64
	m.meanSquare, inflate = spread(res)
	m.sd = math.Sqrt(m.meanSquare * inflate * h[1][1] / d)
	return moved, true
}

// spread is the mean square of the residuals, and by how much the variance of what they give is
// more than if they were independent: those half a second apart that go together leave fewer
// independent samples; interpolation between samples and the edges of shifts cost the rest.
func spread(res []float64) (meanSquare, inflate float64) {
	lag := 0.0
	for i, r := range res {
		meanSquare += r * r / float64(len(res))
		if i >= 10 {
			lag += r * res[i-10] / float64(len(res))
		}
	}
	rho := math.Max(0, math.Min(0.95, lag/math.Max(meanSquare, 1e-12)))
	return meanSquare, 25 * (1 + rho) / (1 - rho)
}

// grid samples a trace from its first movement to its last.
func grid(x trace.Trace) (v []float64, start float64) {
	lo, hi := -1, -1
	for i, s := range x.V {
		if s > 2 {
			if lo < 0 {
				lo = i
			}
			hi = i
		}
	}
	if lo < 0 {
		return nil, 0
	}
	start = x.T[lo] - 1
	for t := start; t <= x.T[hi]+1; t += step {
		s, ok := x.At(t)
		if !ok {
			s = math.NaN()
		}
		v = append(v, s)
	}
	return v, start
}

// correlation of a[i] with b[i−k] over the overlap, 0 when it is shorter than need or
// leaves a large part of either movement out.
func correlation(a, b []float64, k, need int) float64 {
	lo, hi := max(0, k), min(len(a), len(b)+k)
	n := hi - lo
	if n < need || float64(n) < 0.8*float64(min(len(a), len(b))) {
		return 0
	}
	var sa, sb, saa, sbb, sab, m float64
	for i := lo; i < hi; i++ {
		x, y := a[i], b[i-k]
		if math.IsNaN(x) || math.IsNaN(y) {
			continue
		}
		m++
		sa += x
		sb += y
		saa += x * x
		sbb += y * y
		sab += x * y
	}
	if m < float64(need) {
		return 0
	}
	va, vb := saa-sa*sa/m, sbb-sb*sb/m
	if va <= 0 || vb <= 0 {
		return 0
	}
	return (sab - sa*sb/m) / math.Sqrt(va*vb)
}

func sq(x float64) float64 { return x * x }

// Merge adds the second set's channels to the first on the first's run clock. Where
// both have a quantity, both stay: the motion weighs every source.
func Merge(first, second *dictionary.Set, o Offset) *dictionary.Set {
	out := &dictionary.Set{Clock: first.Clock, Channels: append([]dictionary.Channel{}, first.Channels...), Notes: append(append([]string{}, first.Notes...), second.Notes...)}
	for _, c := range second.Channels {
		t := make([]float64, len(c.Trace.T))
		for i, v := range c.Trace.T {
			t[i] = v + o.Seconds.Value
		}
		c.Trace = trace.Trace{T: t, V: c.Trace.V}
		out.Channels = append(out.Channels, c)
	}
	return out
}
