package fitcar

import (
	"math"

	"traplight/internal/num/fit"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

const (
	gripDay   = 0.03  // 1, spread of grip from pass to pass
	slipBias  = 0.006 // 1, spread of the slip's zero (radius), and of its drift along the strip (the radius' growth)
	gripNoise = 0.04  // 1, noise of used grip
	gripTrend = 0.10  // 1, spread of grip's change from one end of the strip to the other: what is swept and worn at the start, and rubber that slides faster later; common practice, no source
)

// fitTyre fits peak grip and its slip to slip against used grip of all passes, with
// a level for each pass, and returns the levels and whether the peak was seen.
func fitTyre(c *sim.Car, ws []*work, d *draws) (levels []float64, peak, slip quantity.Estimate) {
	pk, pkSD := tyrePeak(ws[len(ws)-1].Sheet.TyreSize)
	ps, psSD := peakSlipPrior, peakSlipPriorSD
	// the grip chapter's own finding, where it saw the peak
	if g := latestGrip(ws); g != nil && g.GripSure && g.PeakGrip.SD > 0 {
		pk, pkSD = g.PeakGrip.Value, math.Hypot(g.PeakGrip.SD, 0.03)
		if g.PeakSlip != nil && g.PeakSlip.SD > 0 {
			ps, psSD = g.PeakSlip.Value, math.Hypot(g.PeakSlip.SD, 0.01)
		}
	}
	pk, ps = max(0.5, d.normal(pk, pkSD)), max(0.05, d.normal(ps, psSD))
	type pt struct {
		pass             int
		slip, used, load float64
		x                float64 // m, along the strip
	}
	var pts []pt
	for k, w := range ws {
		for i := w.Lock + 2; i < len(w.X); i += 2 {
			if w.V[i] < 5 || math.IsNaN(w.slip[i]) || math.IsNaN(w.used[i]) || math.IsNaN(w.torque[i]) || w.slip[i] < 0.004 {
				continue
			}
			load := c.DrivenShare*w.mass*9.80665 + c.Transfer*w.mass*w.A[i]
			pts = append(pts, pt{k, w.slip[i], w.used[i], load / c.Tyre.RefLoad, w.X[i]})
		}
	}
	levels = make([]float64, len(ws))
	for i := range levels {
		levels[i] = 1
	}
	shape := min(1.9, max(1.1, d.normal(tyreShape, tyreShapeSD)))
	set := func(p []float64) { c.Tyre.Peak, c.Tyre.PeakSlip, c.Tyre.Shape = p[0], p[1], p[3] }
	if len(pts) < 30 {
		set([]float64{pk, ps, 0, shape})
		return levels, quantity.Estimate{Value: pk, SD: pkSD}, quantity.Estimate{Value: ps, SD: psSD}
	}
	priors := []fit.Prior{{Mean: pk, SD: pkSD}, {Mean: ps, SD: psSD}, {Mean: d.normal(0, slipBias), SD: slipBias}, {Mean: shape, SD: tyreShapeSD}}
	// grip along the strip: even, as long as no gear spins far along it
	length := ws[len(ws)-1].Length
	middle := 0.0
	for _, q := range pts {
		middle += q.x / length / float64(len(pts))
	}
	priors = append(priors, fit.Prior{Mean: d.normal(0, gripTrend), SD: gripTrend}, fit.Prior{SD: slipBias})
	p0 := []float64{pk, ps, priors[2].Mean, shape, priors[4].Mean, 0}
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
	res, err := fit.Fit(fit.Problem{M: len(pts), Lower: lower, Upper: upper, Priors: priors,
		Residuals: func(p, r []float64) {
			b := math.Tan(math.Pi / (2 * p[3]))
			for i, q := range pts {
				along := q.x/length - middle
				x := (q.slip - p[2] - p[5]*along) / p[1]
				mu := p[0] * p[6+q.pass] * (1 + p[4]*along) * (1 - c.Tyre.LoadSens*(q.load-1)) * math.Sin(p[3]*math.Atan(b*x))
				r[i] = (q.used - mu) / (gripNoise * 3)
			}
		}}, p0, fit.Settings{MaxIterations: 40, Tolerance: 1e-6, Huber: 1.5})
	if err != nil {
		set([]float64{pk, ps, 0, shape})
		return levels, quantity.Estimate{Value: pk, SD: pkSD}, quantity.Estimate{Value: ps, SD: psSD}
	}
	set(res.P)
	copy(levels, res.P[6:])
	c.Tyre.Profile = []float64{1 - res.P[4]*middle, 1 + res.P[4]*(1-middle)}
	c.Tyre.Step = length
	return levels, quantity.Estimate{Value: res.P[0], SD: res.SD[0]}, quantity.Estimate{Value: res.P[1], SD: res.SD[1]}
}

func latestGrip(ws []*work) *work {
	for i := len(ws) - 1; i >= 0; i-- {
		if ws[i].PeakGrip != nil && ws[i].GripSure {
			return ws[i]
		}
	}
	return nil
}
