// Package trend smooths a noisy column whose true values change smoothly: the
// true curve is taken for an integrated random walk (its slope wanders), each
// sample for the curve plus independent noise. That is the local linear trend
// model of the structural time-series literature, and its smoother is the cubic
// smoothing spline, here with the variances that go with it and with any spacing
// of samples.
//
// Sources: A. C. Harvey, Forecasting, Structural Time Series Models and the
// Kalman Filter (1989), ch. 2 and 4; G. Wahba, J. R. Statist. Soc. B 40 (1978)
// 364–372, for the spline (both from memory). The estimate is as good as the
// model: at a corner of the true curve it rounds the corner over about the
// smoother's own width.
package trend

import "math"

// Curve is a smoothed column. All slices have one length; T is strictly
// increasing.
type Curve struct {
	T          []float64 // s, or the caller's own unit of the abscissa
	Level      []float64 // own unit of the samples
	Slope      []float64 // own unit per unit of T
	LevelVar   []float64 // squared unit
	LevelSlope []float64 // covariance of level and slope, squared unit per unit of T
	SlopeVar   []float64 // squared unit per squared unit of T
	Noise      float64   // variance of one sample about the curve, squared unit
	Wander     float64   // variance that the slope gains per unit of T, squared unit per cubed unit of T
	LogLik     float64   // nats, of the samples after the first two
}

// Smooth returns the curve of samples y, own unit, at t, strictly increasing, own
// unit, for a given variance of the noise, squared unit, and wander, as in Curve.
// A NaN in y stands for a moment without a sample. It panics when lengths differ.
func Smooth(t, y []float64, noise, wander float64) Curve {
	n := len(t)
	if len(y) != n {
		panic("trend: t and y differ in length")
	}
	c := Curve{T: t, Noise: noise, Wander: wander}
	if n == 0 {
		return c
	}
	filt, pred := make([]moment, n), make([]moment, n)
	c.LogLik = filter(t, y, noise, wander, filt, pred)
	c.Level = make([]float64, n)
	c.Slope = make([]float64, n)
	c.LevelVar = make([]float64, n)
	c.LevelSlope = make([]float64, n)
	c.SlopeVar = make([]float64, n)
	set := func(i int, m moment) {
		c.Level[i], c.Slope[i] = m.l, m.s
		c.LevelVar[i], c.LevelSlope[i], c.SlopeVar[i] = m.pll, m.pls, m.pss
	}
	s := filt[n-1]
	set(n-1, s)
	for i := n - 2; i >= 0; i-- {
		f, p := filt[i], pred[i+1]
		h := t[i+1] - t[i]
		// G = P F' (P⁻ of the next)⁻¹, with F = [1 h; 0 1].
		a, b := f.pll+h*f.pls, f.pls
		d, e := f.pls+h*f.pss, f.pss
		det := p.pll*p.pss - p.pls*p.pls
		if !(det > 0) {
			set(i, f)
			s = f
			continue
		}
		gll := (a*p.pss - b*p.pls) / det
		gls := (b*p.pll - a*p.pls) / det
		gsl := (d*p.pss - e*p.pls) / det
		gss := (e*p.pll - d*p.pls) / det
		dl, ds := s.l-p.l, s.s-p.s
		v11, v12, v22 := s.pll-p.pll, s.pls-p.pls, s.pss-p.pss
		s = moment{
			l:   f.l + gll*dl + gls*ds,
			s:   f.s + gsl*dl + gss*ds,
			pll: f.pll + gll*(gll*v11+gls*v12) + gls*(gll*v12+gls*v22),
			pls: f.pls + gsl*(gll*v11+gls*v12) + gss*(gll*v12+gls*v22),
			pss: f.pss + gsl*(gsl*v11+gss*v12) + gss*(gsl*v12+gss*v22),
		}
		s.pll, s.pss = max(s.pll, 0), max(s.pss, 0)
		set(i, s)
	}
	return c
}

// moment is level and slope with their variances and covariance.
type moment struct{ l, s, pll, pls, pss float64 }

// filter goes through the samples forward and returns the logarithm of their likelihood,
// nats; filt and pred, where not nil, receive the moments with and without each sample, for
// the way back.
func filter(t, y []float64, noise, wander float64, filt, pred []moment) (loglik float64) {
	span := t[len(t)-1] - t[0]
	lo, hi := math.Inf(1), math.Inf(-1)
	first := math.NaN()
	for _, v := range y {
		if !math.IsNaN(v) {
			lo, hi = min(lo, v), max(hi, v)
			if math.IsNaN(first) {
				first = v
			}
		}
	}
	if math.IsNaN(first) {
		first, lo, hi = 0, 0, 0
	}
	// A start that knows next to nothing: wide against anything in the data.
	reach := hi - lo + math.Sqrt(noise)
	// Wider still would cost digits.
	wide := 1e6 * reach * reach
	steep := 0.0
	if span > 0 {
		steep = 10 * wide / (span * span)
	}
	m := moment{l: first, pll: wide, pss: steep}
	seen := 0
	for i := range t {
		if i > 0 {
			h := t[i] - t[i-1]
			m.l += h * m.s
			m.pll += h*(2*m.pls+h*m.pss) + wander*h*h*h/3
			m.pls += h*m.pss + wander*h*h/2
			m.pss += wander * h
		}
		if pred != nil {
			pred[i] = m
		}
		if !math.IsNaN(y[i]) {
			f := m.pll + noise
			e := y[i] - m.l
			if seen >= 2 {
				loglik -= 0.5 * (math.Log(2*math.Pi*f) + e*e/f)
			}
			seen++
			kl, ks := m.pll/f, m.pls/f
			m.l += kl * e
			m.s += ks * e
			m.pss -= ks * m.pls
			m.pls *= noise / f
			m.pll *= noise / f
		}
		if filt != nil {
			filt[i] = m
		}
	}
	return loglik
}

// Fit is Smooth with the wander that makes the samples most likely, noise, squared
// unit, being known. Fewer than four samples leave the wander at its least.
func Fit(t, y []float64, noise float64) Curve {
	n := len(t)
	if n < 4 || !(noise > 0) {
		return Smooth(t, y, noise, 0)
	}
	h := (t[n-1] - t[0]) / float64(n-1)
	// From "a straight line" to "every sample its own": in units of noise/h³.
	unit := noise / (h * h * h)
	return Smooth(t, y, noise, unit*math.Exp(maximum(-24, 3, func(x float64) float64 {
		return filter(t, y, noise, unit*math.Exp(x), nil, nil)
	})))
}

// maximum finds the highest point of a function with one hill or a few, by a
// coarse grid and golden sections about its best.
func maximum(a, b float64, f func(float64) float64) float64 {
	const steps = 12
	best, at := math.Inf(-1), a
	d := (b - a) / steps
	for i := 0; i <= steps; i++ {
		if v := f(a + float64(i)*d); v > best {
			best, at = v, a+float64(i)*d
		}
	}
	lo, hi := max(a, at-d), min(b, at+d)
	const ratio = 0.6180339887498949
	x1, x2 := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	f1, f2 := f(x1), f(x2)
	for hi-lo > 0.1 {
		if f1 > f2 {
			hi, x2, f2 = x2, x1, f1
			x1 = hi - ratio*(hi-lo)
			f1 = f(x1)
		} else {
			lo, x1, f1 = x1, x2, f2
			x2 = lo + ratio*(hi-lo)
			f2 = f(x2)
		}
	}
	return (lo + hi) / 2
}
