package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// residuals evaluates data and prior residuals into r; false when not finite.
func (s *solver) residuals(p, r []float64) bool {
	s.res.Evaluations++
	s.prob.Residuals(p, r[:s.prob.M])
	s.bend(r[:s.prob.M])
	for i, q := range s.prob.Priors {
		r[s.prob.M+i] = 0
		if q.SD > 0 {
			r[s.prob.M+i] = (p[i] - q.Mean) / q.SD
		}
	}
	return finite(r)
}

// bend turns residuals into those whose square is Huber's loss.
func (s *solver) bend(r []float64) {
	k := s.set.Huber
	if k <= 0 {
		return
	}
	for i, v := range r {
		if a := math.Abs(v); a > k {
			r[i] = math.Copysign(math.Sqrt(2*k*a-k*k), v)
		}
	}
}

func finite(r []float64) bool {
	for _, v := range r {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// touched evaluates into r what parameter j, from 0, touches at p, its prior included, and
// tells where; all else of r is left alone.
func (s *solver) touched(j int, p, r []float64) (from, to int, ok bool) {
	if s.prob.Touches == nil || s.prob.Part == nil {
		return 0, s.m, s.residuals(p, r)
	}
	from, to = s.prob.Touches(j)
	if from <= 0 && to >= s.prob.M {
		return 0, s.m, s.residuals(p, r)
	}
	s.prob.Part(p, r[:s.prob.M], from, to)
	s.bend(r[from:to])
	return from, to, finite(r[from:to])
}

func half(r []float64) float64 {
	c := 0.0
	for _, v := range r {
		c += v * v
	}
	return c / 2
}

// jacobian fills J (m×n, row by row) at p, with r the residuals there.
func (s *solver) jacobian(p, r []float64, J *mat.Dense) {
	q := append([]float64(nil), p...)
	a, b := make([]float64, s.m), make([]float64, s.m)
	for j := range p {
		scale := math.Abs(p[j])
		if s.prob.Priors != nil && s.prob.Priors[j].SD > 0 {
			scale = math.Max(scale, s.prob.Priors[j].SD)
		}
		h := 1e-7 * scale
		if s.set.Central {
			h = 6e-6 * scale
		}
		if h == 0 {
			h = 1e-8
		}
		up, down := p[j]+h, p[j]-h
		if s.prob.Upper != nil && up > s.prob.Upper[j] {
			up = p[j]
		}
		if s.prob.Lower != nil && down < s.prob.Lower[j] || (!s.set.Central && up != p[j]) {
			down = p[j]
		}
		ra, rb := r, r
		from, to := 0, s.m
		var ok bool
		if up != p[j] {
			q[j] = up
			if from, to, ok = s.touched(j, q, a); !ok {
				up = p[j]
			} else {
				ra = a
			}
		}
		if down != p[j] {
			q[j] = down
			if from, to, ok = s.touched(j, q, b); !ok {
				down = p[j]
			} else {
				rb = b
			}
		}
		q[j] = p[j]
		d := up - down
		for i := range r {
			v := 0.0
			if d != 0 && i >= from && i < to {
				v = (ra[i] - rb[i]) / d
			}
			J.Set(i, j, v)
		}
		if to < s.m && s.prob.Priors != nil && s.prob.Priors[j].SD > 0 {
			J.Set(s.prob.M+j, j, 1/s.prob.Priors[j].SD)
		}
	}
}

func (s *solver) clamp(p []float64) {
	for i := range p {
		if s.prob.Lower != nil {
			p[i] = math.Max(p[i], s.prob.Lower[i])
		}
		if s.prob.Upper != nil {
			p[i] = math.Min(p[i], s.prob.Upper[i])
		}
	}
}

// held marks parameters at a bound whose gradient g points outward.
func (s *solver) held(p, g []float64) []bool {
	h := make([]bool, s.n)
	for i := range p {
		h[i] = s.prob.Lower != nil && p[i] <= s.prob.Lower[i] && g[i] > 0 ||
			s.prob.Upper != nil && p[i] >= s.prob.Upper[i] && g[i] < 0
	}
	return h
}

// bounded writes the damped step's end into q. A parameter that the step would carry
// over its bound goes to the bound, and the step of the others is solved again with
// that known.
func (s *solver) bounded(J *mat.Dense, p, r, q, scale []float64, lambda float64, hold []bool) bool {
	hold = append([]bool(nil), hold...)
	rest := append([]float64(nil), r...)
	copy(q, p)
	for range s.n {
		d, ok := step(J, rest, scale, lambda, hold)
		if !ok {
			return false
		}
		again := false
		for j := range p {
			if hold[j] {
				continue
			}
			to := p[j] + d[j]
			at := to
			if s.prob.Lower != nil {
				at = math.Max(at, s.prob.Lower[j])
			}
			if s.prob.Upper != nil {
				at = math.Min(at, s.prob.Upper[j])
			}
			q[j] = at
			if at != to {
				again, hold[j] = true, true
				for i := range rest {
					rest[i] += J.At(i, j) * (at - p[j])
				}
			}
		}
		if !again {
			break
		}
	}
	s.clamp(q)
	return true
}

// step solves min |J d + r|² + λ|S d|² over the parameters not held.
func step(J *mat.Dense, r, scale []float64, lambda float64, hold []bool) ([]float64, bool) {
	m, n := J.Dims()
	var free []int
	for j := 0; j < n; j++ {
		if !hold[j] && scale[j] > 0 {
			free = append(free, j)
		}
	}
	d := make([]float64, n)
	if len(free) == 0 {
		return d, true
	}
	k := len(free)
	A := mat.NewDense(m+k, k, nil)
	b := mat.NewVecDense(m+k, nil)
	for i := 0; i < m; i++ {
		for q, j := range free {
			A.Set(i, q, J.At(i, j)/scale[j])
		}
		b.SetVec(i, -r[i])
	}
	for q := range free {
		A.Set(m+q, q, math.Sqrt(lambda))
	}
	var qr mat.QR
	qr.Factorize(A)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		var c mat.Condition
		if !errors.As(err, &c) {
			return nil, false
		}
	}
	for q, j := range free {
		d[j] = x.AtVec(q) / scale[j]
		if math.IsNaN(d[j]) || math.IsInf(d[j], 0) {
			return nil, false
		}
	}
	return d, true
}
