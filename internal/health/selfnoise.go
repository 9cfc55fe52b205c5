package health

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// A wheel or a crankshaft has inertia: from sample to sample, noisyRate or more a second,
// no road and no engine scatters it like that (2 m/s in 50 ms are 40 m/s², back and forth).
const (
	noisyWheel  = 2.0  // m/s
	noisyEngine = 15.0 // rad/s
	noisyRate   = 18.0 // Hz
)

// window of the noise measure, s.
const noiseWindow = 1.0

// roughness is the scatter of a trace's second differences in windows of one
// second: what remains of noise when the course is taken out. The quantisation
// step stands under it as a floor. Unit of the channel.
func roughness(x trace.Trace, from, to, resolution float64) (at, rough []float64) {
	if x.Len() == 0 {
		return nil, nil
	}
	to = min(to, x.T[x.Len()-1]+noiseWindow) // a pass whose speed nothing tells has no end
	buf := make([]float64, 0, 256)
	for t := from; t+noiseWindow <= to; t += noiseWindow {
		w := x.Slice(t, t+noiseWindow)
		if w.Len() < 8 {
			continue
		}
		buf = buf[:0]
		for k := 2; k < w.Len(); k++ {
			buf = append(buf, math.Abs(w.V[k]-2*w.V[k-1]+w.V[k-2]))
		}
		if stats.QuantileIn(buf, 0.6) == 0 {
			continue // at an end stop, or coarser than its noise: says nothing
		}
		at = append(at, t)
		// √6 is the gain of second differences on white noise.
		rough = append(rough, max(stats.MADToSD*stats.QuantileIn(buf, 0.5)/math.Sqrt(6), resolution/2))
	}
	return at, rough
}

// usualRoughness is the median over a pass, for the summary.
func usualRoughness(c *dictionary.Channel, p *pass.Pass) float64 {
	from, to := passSpan(p)
	_, r := roughness(c.Trace, from, min(to, from+60), c.Resolution)
	return stats.Median(r)
}

// noisyFor is the number of windows for which a noise must last: less at a log's end is
// a gear's or the road's, and less at its start is a car that stands still.
const noisyFor = 3

// noisy finds the time from which a channel's noise, which is r from the times at on, is
// several times its own before, or what it was on earlier passes.
func noisy(c *dictionary.Channel, at, r []float64, usual float64) (b broken, ok bool) {
	least := 0.0 // what more than which cannot be the road's or the engine's scatter
	switch c.Quantity {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR:
		least = noisyWheel
	case quantity.EngineSpeed:
		least = noisyEngine
	}
	n := len(r)
	if n < 8 {
		return b, false
	}
	logs := make([]float64, n)
	for i, v := range r {
		logs[i] = math.Log(max(v, 1e-12))
	}
	k, ref := -1, usual
	best := 0.0
	if c, ok := changepoint.Single(logs, 0.1); ok && c.After > c.Before && n-c.At >= noisyFor && c.At >= noisyFor {
		k, best = c.At, math.Exp(stats.Median(logs[c.At:])-stats.Median(logs[:c.At]))
		ref = stats.Median(r[:c.At])
		if usual > ref {
			best *= ref / usual
		}
	}
	if q := stats.Median(r) / usual; usual > 0 && best < 4 && q > 4 {
		k, best, ref = 0, q, usual
	}
	if k < 0 || best < 4 {
		return b, false
	}
	if least > 0 && (stats.Median(r[k:]) < least || c.RateHz < noisyRate) {
		return b, false
	}
	start := at[k]
	// To the sample: the first second difference of the new size in the window
	// before.
	w := c.Trace.Slice(start-noiseWindow, start+3*noiseWindow)
	wild := func(i int) bool {
		return math.Abs(w.V[i]-2*w.V[i-1]+w.V[i-2]) > 3*math.Sqrt(6)*max(ref, 1e-12)
	}
	// Three of eight come by chance once in a few hundred passes; five of sixteen do not.
	const look, often = 16, 5
	for i := 2; i+look < w.Len(); i++ {
		n := 0
		for k := i; k < i+look; k++ {
			if wild(k) {
				n++
			}
		}
		if wild(i) && n >= often {
			start = w.T[i]
			break
		}
	}
	return broken{c, "noisy", start, "its noise is several times what it was", min(most, 4*math.Log(best))}, true
}

// surging is the time from the launch, s, whose leaps alone accuse no sensor: boost over a
// slow engine surges, and every pressure of the air's way rings with it.
const surging = 3.0

// As many leaps in a pass are a loose plug: jumpyLeaps, or fewLeaps where a channel is so
// slow that they are one reading in fewLeapsIn or more from the first on.
const (
	jumpyLeaps = 5
	fewLeaps   = 3
	fewLeapsIn = 80
	afterwards = 10.0 // s after the pass in which the reader's spikes count too
)

// jumpy finds readings that leap away and back within one sample, again and
// again: a loose plug. A leap counts when it is beyond a dozen times the ordinary
// scatter, that of windows r, while its neighbours on both sides agree. Those that the
// reader took out as spikes count too.
func jumpy(c *dictionary.Channel, from, to float64, r []float64) (b broken, ok bool) {
	switch c.Quantity {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.EngineSpeed:
		return b, false
	}
	x := c.Trace.Slice(from-3, to)
	n := x.Len()
	scale := stats.Median(r)
	if n < 100 || !(scale > 0) {
		return b, false
	}
	leaps, late, first := 0, 0, math.Inf(1)
	leapt := func(t float64) {
		leaps, first = leaps+1, min(first, t)
		if t > from+surging {
			late++
		}
	}
	for _, t := range c.Spikes {
		if t > from-3 && t < to+afterwards {
			leapt(t)
		}
	}
	for i := 2; i+2 < n; i++ {
		around := (x.V[i-2] + x.V[i-1] + x.V[i+1] + x.V[i+2]) / 4
		spread := 0.0
		for _, k := range []int{i - 2, i - 1, i + 1, i + 2} {
			spread = max(spread, math.Abs(x.V[k]-around))
		}
		if math.Abs(x.V[i]-around) > 12*scale && math.Abs(x.V[i]-around) > 6*spread {
			leapt(x.T[i])
		}
	}
	if late < jumpyLeaps && (late < fewLeaps || late*fewLeapsIn < c.Trace.Slice(first, to+afterwards).Len()) {
		return b, false
	}
	return broken{c, "jumps", first, "its reading leaps away and back again and again", min(most, 3*float64(leaps))}, true
}
