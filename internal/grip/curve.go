// Package grip relates the driven tyres' slip to the grip they use: where slip is
// zero (the effective rolling radius), how slip grows with used grip, where the
// peak lies, and how much grip each gear found on its part of the strip.
//
// Model. Used grip u = D·sin(C·atan(Bs − E(Bs − atan Bs))), the magic formula of
// Pacejka, written by its peak slip s_p, at which the sine's argument is π/2. One curve
// serves the pass; the peak D may differ from gear to gear, as rubber and surface
// change along the strip, with a random walk between gears. The rolling radius
// near standstill and its growth with speed are unknowns of the same fit, since
// zero slip is nowhere marked in a log: wheels that roll free between gears, and
// the shape of slip against grip, tell. Slip and grip both carry error; a sample's
// distance to the curve is weighed by both.
//
// Source: Pacejka, Tire and Vehicle Dynamics, ch. 4 (magic formula).
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
	PeakSlip quantity.Estimate   // 1
	Form     Form                // the curve's shape
	Peak     []quantity.Estimate // 1, D by gear (index gear−1)
	OK       bool                // the fit converged on enough samples
}

// Priors of drag-type tyres (common practice, no source): the peak between 6 and 22 % slip,
// grip between 0.9 and 2, mild loss beyond the peak.
const (
	priorPeakSlip, priorPeakSlipSD = 0.14, 0.04
	priorShape, priorShapeSD       = 1.40, 0.12
	priorCurvature                 = 0.5 // 1, standard deviation of E about 0
	priorPeak, priorPeakSD         = 1.45, 0.30
	stepPeakSD                     = 0.08  // 1, change of peak grip from gear to gear
	usedSD                         = 0.02  // 1, error of used grip beside the common scale
	slipSD                         = 0.003 // 1, error of slip at speed
	slipSDSlow                     = 0.05  // m/s, error of wheel or car speed at low speed
	// shared: samples 50 ms apart share tyre, surface, calibration and the curve's own
	// misfit over most of a second, so that each counts for about a tenth.
	shared = 3.0
)

// Form is the shape of the curve: peak slip, C and E of the magic formula, all 1.
type Form struct {
	PeakSlip, C, E float64 // 1
}

// stiffness solves b·(1−E) + E·atan(b) = tan(π/2C) for b = B·s_p.
func (f Form) stiffness() float64 {
	want := math.Tan(math.Pi / (2 * f.C))
	b := want
	for range 20 {
		g := b*(1-f.E) + f.E*math.Atan(b) - want
		d := (1 - f.E) + f.E/(1+b*b)
		step := g / d
		b -= step
		if b <= 0 {
			b = 1e-3
		}
		if math.Abs(step) < 1e-10*b {
			break
		}
	}
	return b / f.PeakSlip
}

// At is the used grip, 1, at slip s, 1, for a peak d, 1.
func (f Form) At(s, d float64) float64 {
	u, _ := f.eval(f.stiffness(), s, d)
	return u
}

// eval returns used grip and its derivative by slip, given B.
func (f Form) eval(b, s, d float64) (u, k float64) {
	x := b * s
	at := math.Atan(x)
	y := x - f.E*(x-at)
	dy := b * (1 - f.E*(1-1/(1+x*x)))
	sn, cs := math.Sincos(f.C * math.Atan(y))
	return d * sn, d * cs * f.C / (1 + y*y) * dy
}

// Fit fits the curve. With too few samples the priors come back with OK false.
func Fit(p *Problem) Curve {
	g := max(p.Gears, 1)
	out := Curve{Radius: p.Radius, Growth: p.Growth,
		PeakSlip: quantity.Estimate{Value: priorPeakSlip, SD: priorPeakSlipSD}, Form: Form{priorPeakSlip, priorShape, 0}}
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
		Residuals: func(q, r []float64) { p.residuals(q, r, g) },
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
	out.PeakSlip = quantity.Estimate{Value: res.P[2], SD: sd(2)}
	out.Form = Form{res.P[2], res.P[3], res.P[4]}
	for i := range out.Peak {
		out.Peak[i] = quantity.Estimate{Value: res.P[5+i], SD: sd(5 + i)}
	}
	return out
}

// unknowns are where the fit starts and within what, in the order ln radius − prior, growth·1e6,
// peak slip, C, E, peaks by gear.
type unknowns struct {
	prior               []fit.Prior
	start, lower, upper []float64 // each in its own unit
}

func (u *unknowns) set(i int, mean, sd, lo, hi float64) {
	u.prior[i] = fit.Prior{Mean: mean, SD: sd}
	u.start[i], u.lower[i], u.upper[i] = mean, lo, hi
}

func (p *Problem) unknowns(gears int) *unknowns {
	n := 5 + gears
	u := &unknowns{make([]fit.Prior, n), make([]float64, n), make([]float64, n), make([]float64, n)}
	u.set(0, 0, math.Hypot(p.Radius.SD/p.Radius.Value, p.ScaleSD), -0.1, 0.1)
	u.set(1, p.Growth.Value*1e6, math.Max(p.Growth.SD*1e6, 0.05), -2, 12)
	u.set(2, priorPeakSlip, priorPeakSlipSD, 0.05, 0.3)
	u.set(3, priorShape, priorShapeSD, 1.1, 1.9)
	u.set(4, 0, priorCurvature, -2, 0.8)
	top := 0.0
	for _, s := range p.Samples {
		top = math.Max(top, s.Used)
	}
	for i := range gears {
		u.set(5+i, priorPeak, priorPeakSD, 0.3, 3.5)
		if i > 0 {
			u.prior[5+i].SD = 0.6 // the walk between gears holds it
		}
		u.start[5+i] = math.Max(priorPeak, math.Min(top, 3))
	}
	return u
}

// residuals are those of the samples and of the peaks' walk from gear to gear, in standard
// deviations, at unknowns q.
func (p *Problem) residuals(q, r []float64, gears int) {
	r0 := p.Radius.Value * math.Exp(q[0])
	gr := q[1] * 1e-6
	form := Form{q[2], q[3], q[4]}
	b := form.stiffness()
	for i, s := range p.Samples {
		slip := s.Omega*r0*(1+gr*s.V*s.V)/s.V - 1
		d := q[5]
		if s.Gear > 0 {
			d = q[5+min(s.Gear, gears)-1]
		} else if gears > 1 {
			d = q[5+gears/2]
		}
		f, k := form.eval(b, slip, d)
		ss := slipSD + slipSDSlow/s.V
		r[i] = (s.Used - f) / (shared * math.Hypot(usedSD, k*ss))
	}
	for i := 1; i < gears; i++ {
		r[len(p.Samples)+i-1] = (q[5+i] - q[4+i]) / stepPeakSD
	}
}
