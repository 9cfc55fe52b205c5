package motion

import "math"

// spline is the uniform cubic B-spline of distance: coefficient j·per belongs to
// the basis function whose support starts at knot j−3. Speed is then piecewise
// quadratic and acceleration piecewise linear and continuous between knots.
type spline struct {
	start, step float64 // s
	n           int     // number of coefficients
	per         int     // unknowns per knot in the band, the spline's first
}

// locate returns the first coefficient and the local coordinate 0–1 of time t,
// clamped to the spline's range.
func (s *spline) locate(t float64) (i int, u float64) {
	x := (t - s.start) / s.step
	i = int(x)
	if x < 0 {
		i = 0
	}
	if i > s.n-4 {
		i = s.n - 4
	}
	return i, x - float64(i)
}

// weights of distance, speed and acceleration on the four coefficients.
func (s *spline) weights(u float64) (x, v, a [4]float64) {
	w := 1 - u
	x = [4]float64{w * w * w / 6, (3*u*u*u - 6*u*u + 4) / 6, (-3*u*u*u + 3*u*u + 3*u + 1) / 6, u * u * u / 6}
	return x, s.speedWeights(u), s.accelWeights(u)
}

func (s *spline) speedWeights(u float64) [4]float64 {
	w, f := 1-u, 0.5/s.step
	return [4]float64{-w * w * f, (3*u - 4) * u * f, ((2-3*u)*u + 1) * f, u * u * f}
}

func (s *spline) accelWeights(u float64) [4]float64 {
	f := 1 / (s.step * s.step)
	return [4]float64{(1 - u) * f, (3*u - 2) * f, (1 - 3*u) * f, u * f}
}

func dot4(w [4]float64, c []float64) float64 {
	return w[0]*c[0] + w[1]*c[1] + w[2]*c[2] + w[3]*c[3]
}

// align puts the knots at a fixed phase to the samples of the densest source, so
// that the same samples on another clock give the same answer. It returns the first
// knot, at or within a step before From.
func align(p *Problem, h float64) float64 {
	var dense *Source
	for i := range p.Sources {
		s := &p.Sources[i]
		if dense == nil || len(s.T) > len(dense.T) || len(s.T) == len(dense.T) && s.Kind == Accelerometer && dense.Kind != Accelerometer {
			dense = s
		}
	}
	if dense == nil || len(dense.T) == 0 {
		return p.From
	}
	var c, q float64
	for _, t := range dense.T {
		if t >= p.From && t <= p.To {
			sn, cs := math.Sincos(2 * math.Pi * (t - p.From) / h)
			c += cs
			q += sn
		}
	}
	phase := math.Atan2(q, c) / (2 * math.Pi) * h // s from a knot at From to the samples
	const want = 0.4                              // of a step, from knot to sample
	d := math.Mod(phase-want*h, h)
	if d > 0 {
		d -= h
	}
	return p.From + d
}
