package fitcar

import (
	"math"

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

// fitTyre fits peak grip and its slip to slip against used grip of all passes, with
// a level for each pass, and returns the levels, the slip's zero at both ends of the strip, and
// what the tyres carry at which slip.
func fitTyre(c *sim.Car, ws []*work, d *draws) (levels []float64, zero [2]float64, peak, slip quantity.Estimate) {
	pk, pkSD := tyrePeak(ws[len(ws)-1].Sheet.TyreSize)
	ps, psSD := peakSlipPrior, peakSlipPriorSD
	// the grip chapter's own finding, where it saw the peak
	if g := latestGrip(ws); g != nil && g.GripSure && g.PeakGrip.SD > 0 {
		pk, pkSD = g.PeakGrip.Value, math.Hypot(g.PeakGrip.SD, 0.03)
	}
	pk = max(0.5, d.normal(pk, pkSD))
	type pt struct {
		pass             int
		slip, used, load float64
		x, v             float64 // m along the strip, m/s
		sd               float64 // 1, of used
	}
	var pts []pt
	for k, w := range ws {
		for i := w.Lock + 2; i < len(w.X); i += 2 {
			if w.V[i] < 5 || math.IsNaN(w.slip[i]) || math.IsNaN(w.used[i]) || math.IsNaN(w.torque[i]) || w.slip[i] < 0.004 {
				continue
			}
			load := c.DrivenShare*w.mass*9.80665 + c.Transfer*w.mass*w.A[i]
			pts = append(pts, pt{k, w.slip[i], w.used[i], load / c.Tyre.RefLoad, w.X[i], w.V[i],
				math.Hypot(gripNoise*3, farDoubt*math.Log(max(1, w.slip[i]/farSlip)))})
		}
	}
	levels = make([]float64, len(ws))
	for i := range levels {
		levels[i] = 1
	}
	v := 0.0 // m/s, mean
	for _, q := range pts {
		v += q.v / float64(len(pts))
	}
	shape := min(1.9, max(1.1, d.normal(tyreShape, tyreShapeSD)))
	set := func(p []float64) { c.Tyre.Peak, c.Tyre.PeakSlip, c.Tyre.Shape, c.Tyre.Fall = p[0], p[1], p[3], p[6] }
	fall := max(0, d.normal(slideFall, slideFallSD))
	spread := psSD // of what a member draws
	seen := seenPeak(ws)
	if seen != nil {
		f := grip.Form{PeakSlip: seen.Value, C: shape, Fall: fall}
		top, _ := f.Top(v) // the chapter's is of sliding tyres, the curve's that of creeping ones
		ps, psSD = seen.Value*seen.Value/top, seen.SD
		// The samples below are those that the chapter fitted: a second look at them moves
		// the middle, half way or so, but makes nothing surer.
		spread = 2 * psSD
	}
	ps = max(0.05, d.normal(ps, spread))
	if len(pts) < 30 {
		set([]float64{pk, ps, 0, shape, 0, 0, fall})
		return levels, zero, quantity.Estimate{Value: pk, SD: pkSD}, quantity.Estimate{Value: ps, SD: psSD}
	}
	priors := []fit.Prior{{Mean: pk, SD: pkSD}, {Mean: ps, SD: psSD}, {Mean: d.normal(0, slipBias), SD: slipBias}, {Mean: shape, SD: tyreShapeSD}}
	// grip along the strip: even, as long as no gear spins far along it
	length := ws[len(ws)-1].Length
	middle := 0.0
	for _, q := range pts {
		middle += q.x / length / float64(len(pts))
	}
	priors = append(priors, fit.Prior{Mean: d.normal(0, gripTrend), SD: gripTrend}, fit.Prior{SD: slipBias},
		fit.Prior{Mean: fall, SD: slideFallSD})
	p0 := []float64{pk, ps, priors[2].Mean, shape, priors[4].Mean, 0, fall}
	for range ws {
		priors = append(priors, fit.Prior{Mean: d.normal(1, gripDay), SD: gripDay})
		p0 = append(p0, priors[len(priors)-1].Mean)
	}
	lower, upper := make([]float64, len(p0)), make([]float64, len(p0))
	for i := range p0 {
		lower[i], upper[i] = priors[i].Mean-4*priors[i].SD, priors[i].Mean+4*priors[i].SD
	}
	lower[0], lower[1], upper[1] = max(0.5, lower[0]), 0.04, 0.35
	lower[3], upper[3] = 1.08, 1.95
	lower[4], upper[4] = -0.5, 0.5
	lower[6], upper[6] = 0, 0.05
	res, err := fit.Fit(fit.Problem{M: len(pts), Lower: lower, Upper: upper, Priors: priors,
		Residuals: func(p, r []float64) {
			b := math.Tan(math.Pi / (2 * p[3]))
			for i, q := range pts {
				along := q.x/length - middle
				x := (q.slip - p[2] - p[5]*along) / p[1]
				mu := p[0] * p[7+q.pass] * (1 + p[4]*along) * (1 - c.Tyre.LoadSens*(q.load-1)) * math.Sin(p[3]*math.Atan(b*x)) / (1 + p[6]*math.Abs(q.slip)*q.v)
				r[i] = (q.used - mu) / q.sd
			}
		}}, p0, fit.Settings{MaxIterations: 40, Tolerance: 1e-6, Huber: 1.5})
	if err != nil {
		set([]float64{pk, ps, 0, shape, 0, 0, fall})
		return levels, zero, quantity.Estimate{Value: pk, SD: pkSD}, quantity.Estimate{Value: ps, SD: psSD}
	}
	set(res.P)
	copy(levels, res.P[7:])
	zero = [2]float64{res.P[2] - res.P[5]*middle, res.P[2] + res.P[5]*(1-middle)}
	c.Tyre.Profile = []float64{1 - res.P[4]*middle, 1 + res.P[4]*(1-middle)}
	c.Tyre.Step = length
	slip = quantity.Estimate{Value: res.P[1], SD: res.SD[1]}
	if seen != nil {
		slip.SD = max(slip.SD, seen.SD)
	}
	return levels, zero, quantity.Estimate{Value: res.P[0], SD: res.SD[0]}, slip
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
