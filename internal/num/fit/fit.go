// Package fit estimates parameters by nonlinear least squares with bounds and
// Gaussian priors, and says how well each is known.
//
// Method: Levenberg–Marquardt with column scaling and Nielsen's damping;
// parameters at a bound whose gradient points outward are held there for the
// step (active set); the step's result is projected into the bounds. Each damped
// step is solved by QR of the stacked Jacobian, never by normal equations.
//
// Sources: J. J. Moré, "The Levenberg–Marquardt algorithm: implementation and
// theory", Lecture Notes in Mathematics 630 (1978) 105–116 (scaling); H. B.
// Nielsen, "Damping parameter in Marquardt's method", IMM-REP-1999-05 (damping);
// both from memory. Checked against the certified values of the NIST StRD
// nonlinear sets.
//
// Limits: it finds the nearest minimum; covariances are those of the linearised
// problem at the solution.
package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Prior is a Gaussian belief about one parameter.
type Prior struct {
	Mean float64 // in the parameter's unit
	SD   float64 // same unit; 0 means no belief
}

// Problem is what to fit.
type Problem struct {
	// Residuals writes the M residuals at p, each divided by its standard
	// deviation, into r. It must not modify or keep the slices. Entries that are
	// not finite make the step fail.
	Residuals func(p, r []float64)
	M         int
	Lower     []float64 // by parameter, in its unit; nil means no bounds
	Upper     []float64 // by parameter, in its unit; nil means no bounds
	Priors    []Prior   // by parameter; nil means none
}

// Settings are the stopping rules. The zero value works.
type Settings struct {
	MaxIterations int     // 0 means 200
	Tolerance     float64 // 1, relative change of cost and parameters; 0 means 1e-10
	// Huber, if positive, bounds the influence of residuals beyond so many
	// standard deviations, 1. Priors are not affected.
	Huber float64
	// Central takes central differences for the Jacobian: twice the work, twice
	// the digits.
	Central bool
	// Scale, if set, multiplies the covariance by the residual variance, for
	// residuals whose standard deviations are unknown.
	Scale bool
}

// Status says how a fit ended.
type Status int

// The statuses.
const (
	Converged Status = iota
	IterationLimit
	Stuck // no damping lowers the cost any more
)

// String is a sentence with advice.
func (s Status) String() string {
	return [...]string{"converged", "stopped at the limit of iterations; the start may be far or the data may not tell the parameters apart",
		"no further step lowers the cost; the residuals may be noisy or the minimum is reached to rounding"}[s]
}

// Result is what came of it.
type Result struct {
	P           []float64   // the estimate, in the parameters' units
	Cov         [][]float64 // covariance, products of the parameters' units; rows of parameters at a bound hold their prior only
	SD          []float64   // standard deviations, in the parameters' units
	Cost        float64     // 1, half the sum of squares, priors included
	RSS         float64     // 1, sum of squares of the residuals alone
	AtBound     []bool
	Status      Status
	Iterations  int
	Evaluations int
	priors      []Prior
}

// Learnt is the share of the prior variance of parameter i that the data
// removed, 0–1; 1 without a prior. Near 0 the data cannot tell the parameter.
func (r *Result) Learnt(i int) float64 {
	if r.priors == nil || r.priors[i].SD == 0 {
		return 1
	}
	f := r.SD[i] / r.priors[i].SD
	return math.Max(0, 1-f*f)
}

// Errors for input that cannot be worked on.
var (
	ErrShape  = errors.New("fit: bounds or priors differ in length from the parameters")
	ErrStart  = errors.New("fit: the residuals at the start are not finite")
	ErrBounds = errors.New("fit: a lower bound lies above its upper bound")
)

type solver struct {
	prob Problem
	set  Settings
	n, m int
	res  *Result
}

// residuals evaluates data and prior residuals into r; false when not finite.
func (s *solver) residuals(p, r []float64) bool {
	s.res.Evaluations++
	s.prob.Residuals(p, r[:s.prob.M])
	if k := s.set.Huber; k > 0 {
		for i, v := range r[:s.prob.M] {
			if a := math.Abs(v); a > k {
				// a residual whose square is Huber's loss
				r[i] = math.Copysign(math.Sqrt(2*k*a-k*k), v)
			}
		}
	}
	for i, q := range s.prob.Priors {
		r[s.prob.M+i] = 0
		if q.SD > 0 {
			r[s.prob.M+i] = (p[i] - q.Mean) / q.SD
		}
	}
	for _, v := range r {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
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
		if up != p[j] {
			q[j] = up
			if !s.residuals(q, a) {
				up = p[j]
			} else {
				ra = a
			}
		}
		if down != p[j] {
			q[j] = down
			if !s.residuals(q, b) {
				down = p[j]
			} else {
				rb = b
			}
		}
		q[j] = p[j]
		d := up - down
		for i := range r {
			v := 0.0
			if d != 0 {
				v = (ra[i] - rb[i]) / d
			}
			J.Set(i, j, v)
		}
	}
}

// Fit minimises from p0 (in the parameters' units), which is first moved into
// the bounds. The error is for input that cannot be worked on.
func Fit(prob Problem, p0 []float64, set Settings) (*Result, error) {
	n := len(p0)
	if n == 0 || prob.Lower != nil && len(prob.Lower) != n || prob.Upper != nil && len(prob.Upper) != n || prob.Priors != nil && len(prob.Priors) != n {
		return nil, ErrShape
	}
	if prob.Lower != nil && prob.Upper != nil {
		for i := range p0 {
			if prob.Lower[i] > prob.Upper[i] {
				return nil, ErrBounds
			}
		}
	}
	s := &solver{prob: prob, set: set, n: n, m: prob.M + len(prob.Priors), res: &Result{priors: prob.Priors}}
	if s.set.MaxIterations == 0 {
		s.set.MaxIterations = 200
	}
	if s.set.Tolerance == 0 {
		s.set.Tolerance = 1e-10
	}
	p := append([]float64(nil), p0...)
	s.clamp(p)
	r := make([]float64, s.m)
	if !s.residuals(p, r) {
		return nil, ErrStart
	}
	s.run(p, r)
	return s.res, nil
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

func (s *solver) run(p, r []float64) {
	J := mat.NewDense(s.m, s.n, nil)
	scale := make([]float64, s.n)
	cost := half(r)
	lambda, nu := 1e-3, 2.0
	q, rq := make([]float64, s.n), make([]float64, s.m)
	g := make([]float64, s.n)
	s.res.Status = IterationLimit
	fresh := false
	var hold []bool
	for s.res.Iterations = 0; s.res.Iterations < s.set.MaxIterations; s.res.Iterations++ {
		if !fresh {
			s.jacobian(p, r, J)
			for j := range g {
				g[j] = 0
				c := 0.0
				for i := range r {
					v := J.At(i, j)
					g[j] += v * r[i]
					c += v * v
				}
				scale[j] = math.Max(scale[j], math.Sqrt(c))
			}
			hold = s.held(p, g)
			fresh = true
		}
		if !s.bounded(J, p, r, q, scale, lambda, hold) {
			s.res.Status = Stuck
			break
		}
		move, size := 0.0, 0.0
		pred := 0.0
		for i := range r {
			l := r[i]
			for j := range p {
				l += J.At(i, j) * (q[j] - p[j])
			}
			pred += r[i]*r[i] - l*l
		}
		pred /= 2
		for j := range p {
			w := math.Max(scale[j], 1e-300)
			move = math.Hypot(move, w*(q[j]-p[j]))
			size = math.Hypot(size, w*p[j])
		}
		good := s.residuals(q, rq)
		newCost := half(rq)
		if good && newCost < cost && pred > 0 {
			rho := (cost - newCost) / pred
			gain := cost - newCost
			copy(p, q)
			copy(r, rq)
			old := cost
			cost = newCost
			fresh = false
			lambda *= math.Max(1.0/3, 1-math.Pow(2*rho-1, 3))
			lambda = math.Max(lambda, 1e-14)
			nu = 2
			if gain <= s.set.Tolerance*old && move <= math.Sqrt(s.set.Tolerance)*(size+1e-30) {
				s.res.Status = Converged
				s.res.Iterations++
				break
			}
			continue
		}
		if move <= 1e-13*size || pred >= 0 && pred <= 1e-16*cost {
			s.res.Status = Converged
			break
		}
		lambda *= nu
		nu *= 2
		if lambda > 1e16 {
			s.res.Status = Stuck
			break
		}
	}
	s.finish(p, r, J)
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

// finish computes the covariance at the solution.
func (s *solver) finish(p, r []float64, J *mat.Dense) {
	s.jacobian(p, r, J)
	res := s.res
	res.P, res.Cost = append([]float64(nil), p...), half(r)
	for _, v := range r[:s.prob.M] {
		res.RSS += v * v
	}
	g := make([]float64, s.n)
	for j := range g {
		for i := range r {
			g[j] += J.At(i, j) * r[i]
		}
	}
	res.AtBound = s.held(p, g)
	res.Cov = make([][]float64, s.n)
	res.SD = make([]float64, s.n)
	var free []int
	for j := range res.Cov {
		res.Cov[j] = make([]float64, s.n)
		if !res.AtBound[j] {
			free = append(free, j)
		} else if s.prob.Priors != nil {
			res.Cov[j][j] = s.prob.Priors[j].SD * s.prob.Priors[j].SD
			res.SD[j] = s.prob.Priors[j].SD
		}
	}
	if len(free) == 0 {
		return
	}
	k := len(free)
	A := mat.NewDense(s.m, k, nil)
	scale := make([]float64, k)
	for q, j := range free {
		for i := 0; i < s.m; i++ {
			scale[q] = math.Hypot(scale[q], J.At(i, j))
		}
		if scale[q] == 0 {
			scale[q] = 1
		}
		for i := 0; i < s.m; i++ {
			A.Set(i, q, J.At(i, j)/scale[q])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(A, mat.SVDThin) {
		return
	}
	var V mat.Dense
	svd.VTo(&V)
	sv := svd.Values(nil)
	f := 1.0
	if s.set.Scale && s.prob.M > s.n {
		f = res.RSS / float64(s.prob.M-s.n)
	}
	for a, ja := range free {
		for b, jb := range free {
			v := 0.0
			for i, w := range sv {
				if w > 1e-14*sv[0] {
					v += V.At(a, i) * V.At(b, i) / (w * w)
				}
			}
			res.Cov[ja][jb] = f * v / (scale[a] * scale[b])
		}
		res.SD[ja] = math.Sqrt(res.Cov[ja][ja])
	}
}
