package motion

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
	w, h := 1-u, s.step
	return [4]float64{-w * w / 2 / h, (9*u*u - 12*u) / 6 / h, (-9*u*u + 6*u + 3) / 6 / h, u * u / 2 / h}
}

func (s *spline) accelWeights(u float64) [4]float64 {
	w, h := 1-u, s.step
	return [4]float64{w / h / h, (3*u - 2) / h / h, (-3*u + 1) / h / h, u / h / h}
}

func dot4(w [4]float64, c []float64) float64 {
	return w[0]*c[0] + w[1]*c[1] + w[2]*c[2] + w[3]*c[3]
}
