package airpath

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/num/trend"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

const (
	// Lag of a manifold pressure sensor with its hose, s, and how far it may be
	// off. Common practice, no source: 1–2 ms for the element, a few for hose and
	// filter.
	sensorLag, sensorLagSD = 0.0055, 0.0008
	// Offset that a manifold sensor may have, Pa, standard deviation. Common
	// practice, no source: about 0.3 % of a 4 bar span.
	sensorOffsetSD = 1000.0
	// How well a boost control holds its target once settled: a part that each
	// gear has for itself and one that all share, share of the target. Common
	// practice, no source.
	holdsTarget, holdsTargetShared = 0.003, 0.003
	// A settled stretch: this long, s, and flatter than this, Pa/s.
	settledTime, settledSlope = 0.3, 8e3
	// A reading far from both neighbours is wild when they are no farther apart than
	// this, s: a manifold neither empties nor fills in less.
	wildWithin = 0.025
	// A settled stretch farther from the target than this, share, or this, Pa, was
	// not at it.
	settledFar, settledFarLeast = 0.03, 5e3
)

// boost is the manifold pressure as gauge, with its sensor's traits.
type boost struct {
	gauge            trace.Trace // Pa gauge as the sensor has it, sensor lag taken off
	noise            float64     // Pa², variance of one sample
	step             float64     // s, usual time between samples
	baro             quantity.Estimate
	zero             float64 // Pa, taken off the kept values for gauge
	offset, offsetSD float64 // Pa, reading minus truth
}

// manifold prepares the manifold pressure; nil without a channel. Readings that
// stand alone, far from both neighbours, are left out.
func manifold(set *dictionary.Set, baro quantity.Estimate) *boost {
	c := set.First(quantity.ManifoldPressure)
	if c == nil || c.Trace.Len() < 20 {
		return nil
	}
	b := &boost{baro: baro}
	x := c.Trace
	b.noise = max(trend.NoiseFromDifferences(x.V), c.Resolution*c.Resolution/12, 50*50)
	// A gauge channel comes as absolute over the set's barometer, so that one goes off
	// again, whatever it was.
	b.zero = baro.Value
	if c.Gauge && set.Barometer > 0 {
		b.zero = set.Barometer
	}
	far := 8 * math.Sqrt(b.noise)
	n := x.Len()
	t, v := make([]float64, 0, n), make([]float64, 0, n)
	for i := range x.V {
		// Slow channels show a whole shift in one sample.
		if i > 0 && i+1 < n && x.T[i+1]-x.T[i-1] < wildWithin {
			lo, hi := min(x.V[i-1], x.V[i+1]), max(x.V[i-1], x.V[i+1])
			if hi-lo < far && (x.V[i] < lo-far || x.V[i] > hi+far) {
				continue
			}
		}
		t = append(t, x.T[i]-sensorLag)
		v = append(v, x.V[i]-b.zero)
	}
	b.gauge = trace.Trace{T: t, V: v}
	if len(t) < 20 {
		return nil
	}
	b.step = stats.Median(differences(t))
	b.offsetSD = math.Hypot(sensorOffsetSD, baro.SD)
	if c.Gauge {
		b.offsetSD = sensorOffsetSD
	}
	return b
}

func differences(t []float64) []float64 {
	d := make([]float64, 0, len(t))
	for i := 1; i < len(t); i++ {
		d = append(d, t[i]-t[i-1])
	}
	return d
}

// learnOffset narrows the sensor's offset where boost has settled at a target that
// somebody wrote down or the log has.
func (b *boost) learnOffset(p *pass.Pass, targets *targets) {
	var sum, weights float64
	shared := 0.0
	for _, g := range p.Gears {
		t, ok := targets.of(g.Gear, g.Start, g.End)
		if !ok || !t.stated || t.Value < 20e3 {
			continue
		}
		level, ok := b.settled(g, t.Value)
		if !ok {
			continue
		}
		own := math.Hypot(holdsTarget*t.Value, t.SD)
		w := 1 / (own * own)
		sum += w * (level - t.Value)
		weights += w
		shared = max(shared, holdsTargetShared*t.Value)
	}
	if weights == 0 {
		return
	}
	seen := quantity.Estimate{Value: sum / weights, SD: math.Hypot(math.Sqrt(1/weights), shared)}
	e := weigh(quantity.Estimate{SD: b.offsetSD}, seen)
	b.offset, b.offsetSD = e.Value, e.SD
}

// settled is the level, Pa gauge as the sensor has it, at which boost stayed at
// full throttle in a gear, near a wanted one (Pa gauge, NaN for "anywhere").
func (b *boost) settled(g pass.GearSpan, near float64) (float64, bool) {
	var flat []float64
	for _, w := range g.FullThrottle {
		for from := w.From; from+settledTime <= w.To; from += settledTime / 2 {
			mean, slope, n := line(b.gauge.Slice(from, from+settledTime))
			if n < 5 {
				continue
			}
			// The slope's own spread counts against calling it flat.
			sd := math.Sqrt(12*b.noise/float64(n)) / settledTime
			if math.Abs(slope) > settledSlope+sd {
				continue
			}
			if !math.IsNaN(near) && math.Abs(mean-near) > max(settledFar*near, settledFarLeast) {
				continue
			}
			flat = append(flat, mean)
		}
	}
	if len(flat) < 2 {
		return 0, false
	}
	return stats.Median(flat), true
}

// line fits a straight line: mean in the unit of x, slope in unit/s, number of
// samples.
func line(x trace.Trace) (mean, slope float64, n int) {
	n = x.Len()
	if n == 0 {
		return 0, 0, 0
	}
	var st, sv float64
	for i := range x.T {
		st += x.T[i]
		sv += x.V[i]
	}
	mt := st / float64(n)
	mean = sv / float64(n)
	var stt, stv float64
	for i := range x.T {
		d := x.T[i] - mt
		stt += d * d
		stv += d * x.V[i]
	}
	if stt > 0 {
		slope = stv / stt
	}
	return mean, slope, n
}

// meanOver is the mean of x over windows, in x's unit.
func meanOver(x trace.Trace, windows []pass.Window) (float64, bool) {
	var area, covered, total float64
	gap := x.LongestGap()
	for _, w := range windows {
		a, c := x.Integral(w.From, w.To, gap)
		area += a
		covered += c
		total += w.To - w.From
	}
	// A mean over a remnant of the window would be taken for one over all of it.
	if covered <= 0 || covered < 0.5*total {
		return 0, false
	}
	return area / covered, true
}
