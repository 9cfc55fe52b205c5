package fitcar

import (
	"math"
	"slices"

	"traplight/internal/grip"
	"traplight/internal/num/fit"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

const (
	gripDay   = 0.03  // 1, spread of grip from pass to pass
	slipBias  = 0.006 // 1, spread of the slip's zero (radius), and of its drift along the strip (the radius' growth)
	gripNoise = 0.04  // 1, noise of used grip
	// by how much used grip may be off the curve for each e-fold of slip beyond farSlip, 1: a
	// tyre that spins tells little of its peak; samples share it, so thrice that of package grip
	farDoubt, farSlip = 0.15, 0.25
	gripTrend         = 0.10 // 1, spread of grip's change from one end of the strip to the other: what is swept and worn at the start, and rubber that slides faster later; common practice, no source
)

// Parameters of the tyre's fit, all 1. A level of grip for each pass follows.
const (
	atPeak  = iota // grip
	atSlip         // of peak grip
	atZero         // slip's, in the middle of the samples
	atShape        // of the curve
	atTrend        // of grip over the strip's length
	atDrift        // of the slip's zero, over the same
	atFall         // of grip with sliding speed, s/m
	atLevels
)

// tyreSample is one sample of slip against used grip.
type tyreSample struct {
	pass             int
	slip, used, load float64 // 1, the last of the curve's load
	x, v             float64 // m along the strip, m/s
	sd               float64 // 1, of used
}

// fitTyre fits peak grip and its slip to slip against used grip of all passes, with
// a level for each pass, and returns the levels, the slip's zero at both ends of the strip, and
// what the tyres carry at which slip; the last without their spread where d disturbs them.
func fitTyre(c *sim.Car, ws []*work, d *draws) (levels []float64, zero [2]float64, peak, slip quantity.Estimate) {
	samples := tyreSamples(c, ws)
	levels = slices.Repeat([]float64{1}, len(ws))
	seen := seenPeak(ws)
	var priors []fit.Prior
	priors, peak, slip = curvePriors(ws, samples, seen, d)
	set := func(p []float64) {
		c.Tyre.Peak, c.Tyre.PeakSlip, c.Tyre.Shape, c.Tyre.Fall = p[atPeak], p[atSlip], p[atShape], p[atFall]
	}
	set(means(priors))
	if len(samples) < 30 {
		return levels, zero, peak, slip
	}
	// grip along the strip: even, as long as no gear spins far along it
	length := ws[len(ws)-1].Length
	middle := 0.0
	for _, q := range samples {
		middle += q.x / length / float64(len(samples))
	}
	priors[atZero].Mean = d.normal(0, slipBias)
	priors[atTrend].Mean = d.normal(0, gripTrend)
	for range ws {
		priors = append(priors, fit.Prior{Mean: d.normal(1, gripDay), SD: gripDay})
	}
	lower, upper := tyreBounds(priors)
	part := func(p, r []float64, from, to int) {
		b := math.Tan(math.Pi / (2 * p[atShape]))
		for i := from; i < to; i++ {
			q := &samples[i]
			along := q.x/length - middle
			x := (q.slip - p[atZero] - p[atDrift]*along) / p[atSlip]
			mu := p[atPeak] * p[atLevels+q.pass] * (1 + p[atTrend]*along) * (1 - c.Tyre.LoadSens*(q.load-1)) *
				math.Sin(p[atShape]*math.Atan(b*x)) / (1 + p[atFall]*math.Abs(q.slip)*q.v)
			r[i] = (q.used - mu) / q.sd
		}
	}
	first := firstSamples(samples, len(ws))
	res, err := fit.Fit(fit.Problem{M: len(samples), Lower: lower, Upper: upper, Priors: priors,
		Residuals: func(p, r []float64) { part(p, r, 0, len(samples)) },
		Part:      part,
		Touches: func(j int) (from, to int) {
			if j < atLevels {
				return 0, len(samples)
			}
			return first[j-atLevels], first[j-atLevels+1]
		}}, means(priors), fit.Settings{MaxIterations: 40, Tolerance: 1e-6, Huber: 1.5, Bare: d != nil})
	if err != nil {
		return levels, zero, peak, slip
	}
	set(res.P)
	copy(levels, res.P[atLevels:])
	zero = [2]float64{res.P[atZero] - res.P[atDrift]*middle, res.P[atZero] + res.P[atDrift]*(1-middle)}
	c.Tyre.Profile = []float64{1 - res.P[atTrend]*middle, 1 + res.P[atTrend]*(1-middle)}
	c.Tyre.Step = length
	if d != nil {
		return levels, zero, peak, slip
	}
	peak = quantity.Estimate{Value: res.P[atPeak], SD: res.SD[atPeak]}
	slip = quantity.Estimate{Value: res.P[atSlip], SD: res.SD[atSlip]}
	if seen != nil {
		slip.SD = max(slip.SD, seen.SD)
	}
	return levels, zero, peak, slip
}

// tyreSamples is what the passes say about slip and grip, every other sample of them.
func tyreSamples(c *sim.Car, ws []*work) []tyreSample {
	var samples []tyreSample
	for k, w := range ws {
		for i := w.Lock + 2; i < len(w.X); i += 2 {
			if w.V[i] < 5 || math.IsNaN(w.slip[i]) || math.IsNaN(w.used[i]) || math.IsNaN(w.torque[i]) || w.slip[i] < 0.004 {
				continue
			}
			load := c.DrivenShare*w.mass*9.80665 + c.Transfer*w.mass*w.A[i]
			samples = append(samples, tyreSample{k, w.slip[i], w.used[i], load / c.Tyre.RefLoad, w.X[i], w.V[i],
				math.Hypot(gripNoise*3, farDoubt*math.Log(max(1, w.slip[i]/farSlip)))})
		}
	}
	return samples
}

// firstSamples are the places of the first sample of each pass, and of the end.
func firstSamples(samples []tyreSample, passes int) []int {
	first := make([]int, passes+1)
	for i, q := range samples {
		first[q.pass+1] = i + 1
	}
	for k := range passes {
		first[k+1] = max(first[k], first[k+1])
	}
	return first
}

// curvePriors is what is known of the parameters before the samples, and with it of the peak and
// its slip, both 1; seen is the slip at which the grip chapter saw the peak, or nil.
func curvePriors(ws []*work, samples []tyreSample, seen *quantity.Estimate, d *draws) (priors []fit.Prior, peak, slip quantity.Estimate) {
	peak.Value, peak.SD = tyrePeak(ws[len(ws)-1].Sheet.TyreSize)
	// the grip chapter's own finding, where it saw the peak
	if g := latestGrip(ws); g != nil && g.GripSure && g.PeakGrip.SD > 0 {
		peak.Value, peak.SD = g.PeakGrip.Value, math.Hypot(g.PeakGrip.SD, 0.03)
	}
	peak.Value = max(0.5, d.normal(peak.Value, peak.SD))
	shape := min(1.9, max(1.1, d.normal(tyreShape, tyreShapeSD)))
	fall := max(0, d.normal(slideFall, slideFallSD))
	slip.Value, slip.SD = peakSlipPrior, peakSlipPriorSD
	spread := slip.SD // of what a member draws
	if seen != nil {
		v := 0.0 // m/s, mean
		for _, q := range samples {
			v += q.v / float64(len(samples))
		}
		f := grip.Form{PeakSlip: seen.Value, C: shape, Fall: fall}
		top, _ := f.Top(v) // the chapter's is of sliding tyres, the curve's that of creeping ones
		slip.Value, slip.SD = seen.Value*seen.Value/top, seen.SD
		// The samples are those that the chapter fitted: a second look at them moves
		// the middle, half way or so, but makes nothing surer.
		spread = 2 * slip.SD
	}
	slip.Value = max(0.05, d.normal(slip.Value, spread))
	priors = make([]fit.Prior, atLevels)
	priors[atPeak] = fit.Prior{Mean: peak.Value, SD: peak.SD}
	priors[atSlip] = fit.Prior{Mean: slip.Value, SD: slip.SD}
	priors[atZero].SD, priors[atTrend].SD, priors[atDrift].SD = slipBias, gripTrend, slipBias
	priors[atShape] = fit.Prior{Mean: shape, SD: tyreShapeSD}
	priors[atFall] = fit.Prior{Mean: fall, SD: slideFallSD}
	return priors, peak, slip
}

func tyreBounds(priors []fit.Prior) (lower, upper []float64) {
	lower, upper = make([]float64, len(priors)), make([]float64, len(priors))
	for i, p := range priors {
		lower[i], upper[i] = p.Mean-4*p.SD, p.Mean+4*p.SD
	}
	lower[atPeak] = max(0.5, lower[atPeak])
	lower[atSlip], upper[atSlip] = 0.04, 0.35
	lower[atShape], upper[atShape] = 1.08, 1.95
	lower[atTrend], upper[atTrend] = -0.5, 0.5
	lower[atFall], upper[atFall] = 0, 0.05
	return lower, upper
}

func means(priors []fit.Prior) []float64 {
	m := make([]float64, len(priors))
	for i, p := range priors {
		m[i] = p.Mean
	}
	return m
}

func latestGrip(ws []*work) *work {
	for i := len(ws) - 1; i >= 0; i-- {
		if ws[i].PeakGrip != nil && ws[i].GripSure {
			return ws[i]
		}
	}
	return nil
}

// seenPeak is the slip of the peak, 1, at the mean speed of the samples, by the grip chapter of
// the passes in which the tyres went past it; nil without one. What they share, the curve's form
// and the tyre's radius, is half of its variance.
func seenPeak(ws []*work) *quantity.Estimate {
	sum, weight, n := 0.0, 0.0, 0.0
	for _, w := range ws {
		if w.GripSure && w.PeakSlip != nil && w.PeakSlip.SD > 0 && w.PeakSlip.Value > 0 {
			k := w.weight / square(w.PeakSlip.SD)
			sum, weight, n = sum+k*w.PeakSlip.Value, weight+k, n+1
		}
	}
	if weight <= 0 {
		return nil
	}
	return &quantity.Estimate{Value: sum / weight, SD: math.Sqrt(n / weight * (1 + 1/n) / 2)}
}
