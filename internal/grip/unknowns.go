package grip

import (
	"math"

	"traplight/internal/num/fit"
)

// shape is how many unknowns stand before the peaks by gear.
const shape = 6

// unknowns are where the fit starts and within what, in the order ln radius − prior, growth·1e6,
// peak slip, C, E, fall, peaks by gear.
type unknowns struct {
	prior               []fit.Prior
	start, lower, upper []float64 // each in its own unit
}

func (u *unknowns) set(i int, mean, sd, lo, hi float64) {
	u.prior[i] = fit.Prior{Mean: mean, SD: sd}
	u.start[i], u.lower[i], u.upper[i] = mean, lo, hi
}

func (p *Problem) unknowns(gears int) *unknowns {
	n := shape + gears
	u := &unknowns{make([]fit.Prior, n), make([]float64, n), make([]float64, n), make([]float64, n)}
	u.set(0, 0, math.Hypot(p.Radius.SD/p.Radius.Value, p.ScaleSD), -0.1, 0.1)
	u.set(1, p.Growth.Value*1e6, math.Max(p.Growth.SD*1e6, 0.05), -2, 12)
	u.set(2, priorPeakSlip, priorPeakSlipSD, 0.05, 0.3)
	u.set(3, priorShape, priorShapeSD, 1.1, 1.9)
	u.set(4, priorCurvature, priorCurvatureSD, -4, 0.8)
	u.set(5, priorFall, priorFallSD, 0, 0.05)
	top := 0.0
	for _, s := range p.Samples {
		top = math.Max(top, s.Used)
	}
	for i := range gears {
		u.set(shape+i, priorPeak, priorPeakSD, 0.3, 3.5)
		if i > 0 {
			u.prior[shape+i].SD = 0.6 // the walk between gears holds it
		}
		u.start[shape+i] = math.Max(priorPeak, math.Min(top, 3))
	}
	return u
}

// residuals are those of the samples and of the friction's walk from gear to gear, in standard
// deviations; speeds, m/s by gear, are those for which the peaks stand.
func (p *Problem) residuals(speeds []float64) func(q, r []float64) {
	gears := len(speeds)
	// what the spread of a sample rests on is that of the prior: a curve that may choose it
	// would choose it wide
	used := make([]float64, len(p.Samples))
	for i, s := range p.Samples {
		slip := s.Omega*p.Radius.Value*(1+p.Growth.Value*s.V*s.V)/s.V - 1
		used[i] = math.Hypot(usedSD, farSD*math.Log(math.Max(1, slip/far)))
	}
	friction := make([]float64, gears)
	return func(q, r []float64) {
		r0 := p.Radius.Value * math.Exp(q[0])
		gr := q[1] * 1e-6
		form := Form{PeakSlip: q[2], C: q[3], E: q[4], Fall: q[5]}
		b := form.stiffness()
		for i, v := range speeds {
			_, top := form.top(b, v)
			friction[i] = q[shape+i] / top
		}
		for i, s := range p.Samples {
			slip := s.Omega*r0*(1+gr*s.V*s.V)/s.V - 1
			d := friction[0]
			if s.Gear > 0 {
				d = friction[min(s.Gear, gears)-1]
			} else if gears > 1 {
				d = friction[gears/2]
			}
			f, k := form.eval(b, slip, s.V, d)
			ss := slipSD + slipSDSlow/s.V
			r[i] = (s.Used - f) / (shared * math.Hypot(used[i], k*ss))
		}
		for i := 1; i < gears; i++ {
			r[len(p.Samples)+i-1] = (friction[i] - friction[i-1]) / stepPeakSD
		}
	}
}
