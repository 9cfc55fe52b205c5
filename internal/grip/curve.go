// Package grip relates the driven tyres' slip to the grip they use: where slip is
// zero (the effective rolling radius), how slip grows with used grip, where the
// peak lies, and how much grip each gear found on its part of the strip.
//
// Model. Used grip u = D·sin(C·atan(Bs − E(Bs − atan Bs))) / (1 + k·s·v), the magic
// formula of Pacejka, written by its peak slip s_p, at which the sine's argument is π/2,
// with friction that falls with the sliding speed s·v. One curve serves the pass; D may
// differ from gear to gear, as rubber and surface
// change along the strip, with a random walk between gears. The rolling radius
// near standstill and its growth with speed are unknowns of the same fit, since
// zero slip is nowhere marked in a log: wheels that roll free between gears, and
// the shape of slip against grip, tell. Slip and grip both carry error; a sample's
// distance to the curve is weighed by both.
//
// Source: Pacejka, Tire and Vehicle Dynamics, ch. 4 (magic formula; the fall of friction
// with sliding speed is its λ*μ = λμ/(1 + λμV·Vs/V0), from memory).
//
// Limits: quasi-steady slip (no relaxation length), one curve for all loads; a
// gear that never came near the peak gets its D from the curve's lower part and
// its neighbours, with the spread that this deserves.
package grip

import (
	"math"

	"traplight/internal/num/fit"
	"traplight/internal/quantity"
)

// Sample is a short mean (about 50 ms).
type Sample struct {
	V     float64 // m/s
	Omega float64 // rad/s, driven wheels
	Used  float64 // 1, drive force over driven-axle load
	Gear  int     // 1…; 0 for wheels that roll free
}

// Problem is what Fit needs.
type Problem struct {
	Samples []Sample
	Gears   int
	Radius  quantity.Estimate // m, rolling radius near standstill, prior
	Growth  quantity.Estimate // s²/m², prior
	// ScaleSD is the relative standard deviation of Omega's scale, 1: that of a
	// wheel sensor of unknown circumference; 0 when the gear ratios fix it.
	ScaleSD float64
}

// Curve is the fitted relation.
type Curve struct {
	Radius   quantity.Estimate   // m, radius that goes with Omega as given
	Growth   quantity.Estimate   // s²/m²
	PeakSlip quantity.Estimate   // 1, that of peak grip at the mean speed of the samples
	Form     Form                // the curve's shape
	Peak     []quantity.Estimate // 1, highest used grip by gear (index gear−1), at that gear's Speed
	Speed    []float64           // m/s by gear
	Mean     float64             // m/s, of the samples
	own      []float64           // 1, Form's top at Speed, by gear
	OK       bool                // the fit converged on enough samples
}

// Over is, for a curve that is OK, the highest used grip of a gear at speed v, m/s, over that at
// the gear's own Speed, 1, and the slip at which it lies, 1.
func (c *Curve) Over(gear int, v float64) (ratio, slip float64) {
	slip, top := c.Form.Top(v)
	return top / c.own[gear-1], slip
}

// Priors of drag-type tyres (common practice, no source): the peak between 8 and 20 % slip,
// grip between 0.9 and 2, mild loss beyond the peak.
const (
	priorPeakSlip, priorPeakSlipSD = 0.14, 0.03
	priorShape, priorShapeSD       = 1.40, 0.12
	// A measured road tyre has E 0.34 with C 1.69 (Pacejka, appendix 3), the brush model with parabolic
	// pressure, which bends early, is the formula with C 1.4 and E −2 (the same, ch. 3; own fit)
	priorCurvature, priorCurvatureSD = -0.5, 1.0
	// priorFall is the relative loss of friction, s/m, for each m/s of sliding: at 20 m/s about a
	// sixth, as dry roads hold a locked wheel at speed
	priorFall, priorFallSD = 0.008, 0.006
	priorPeak, priorPeakSD = 1.45, 0.30
	stepPeakSD             = 0.08  // 1, change of peak grip from gear to gear
	usedSD                 = 0.02  // 1, error of used grip beside the common scale
	slipSD                 = 0.003 // 1, error of slip at speed
	slipSDSlow             = 0.05  // m/s, error of wheel or car speed at low speed
	// shared: samples 50 ms apart share tyre, surface, calibration and the curve's own
	// misfit over most of a second, so that each counts for about a tenth.
	shared = 3.0
	// farSD is the error, 1, of used grip by which the curve may be off for each e-fold of slip
	// beyond far, 1: what a spinning tyre's smoke does says little of its peak
	farSD, far = 0.05, 0.25
)

// Fit fits the curve. With too few samples the priors come back with OK false.
func Fit(p *Problem) Curve {
	g := max(p.Gears, 1)
	out := Curve{Radius: p.Radius, Growth: p.Growth,
		PeakSlip: quantity.Estimate{Value: priorPeakSlip, SD: priorPeakSlipSD},
		Form:     Form{PeakSlip: priorPeakSlip, C: priorShape, Fall: priorFall}}
	out.Speed, out.Mean = p.speeds(g)
	for i := 0; i < g; i++ {
		out.Peak = append(out.Peak, quantity.Estimate{Value: priorPeak, SD: priorPeakSD})
	}
	driven := 0
	for _, s := range p.Samples {
		if s.Gear > 0 {
			driven++
		}
	}
	if driven < 12 {
		return out
	}
	u := p.unknowns(g)
	prob := fit.Problem{
		M: len(p.Samples) + g - 1, Lower: u.lower, Upper: u.upper, Priors: u.prior,
		Residuals: p.residuals(out.Speed),
	}
	res, err := fit.Fit(prob, u.start, fit.Settings{MaxIterations: 60, Tolerance: 1e-7, Huber: 1})
	if err != nil {
		return out
	}
	sd := func(i int) float64 { return res.SD[i] }
	out.OK = true
	r := p.Radius.Value * math.Exp(res.P[0])
	out.Radius = quantity.Estimate{Value: r, SD: r * sd(0)}
	out.Growth = quantity.Estimate{Value: res.P[1] * 1e-6, SD: 1e-6 * sd(1)}
	out.Form = Form{PeakSlip: res.P[2], C: res.P[3], E: res.P[4], Fall: res.P[5]}
	for _, v := range out.Speed {
		_, top := out.Form.Top(v)
		out.own = append(out.own, top)
	}
	slip, _ := out.Form.Top(out.Mean)
	out.PeakSlip = quantity.Estimate{Value: slip, SD: sd(2)}
	for i := range out.Peak {
		out.Peak[i] = quantity.Estimate{Value: res.P[shape+i], SD: sd(shape + i)}
	}
	return out
}

// speeds are the mean speeds, m/s, of the samples by gear and of all with torque; a gear without
// any takes the mean of all.
func (p *Problem) speeds(gears int) (by []float64, mean float64) {
	by = make([]float64, gears)
	n := make([]float64, gears)
	all := 0.0
	for _, s := range p.Samples {
		if s.Gear > 0 {
			i := min(s.Gear, gears) - 1
			by[i] += s.V
			n[i]++
			mean += s.V
			all++
		}
	}
	mean /= math.Max(all, 1)
	for i := range by {
		if n[i] == 0 {
			by[i] = mean
		} else {
			by[i] /= n[i]
		}
	}
	return by, mean
}
