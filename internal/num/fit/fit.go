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
	// Touches, if set, tells which residuals parameter j acts on, from and up to but without
	// to; Part then writes those alone, at p, into their places in r. The other entries'
	// slopes are taken for nothing. Parameters that act on few residuals, one of many passes,
	// cost little so. Part holds to what Residuals holds to.
	Touches func(j int) (from, to int)
	Part    func(p, r []float64, from, to int)
	Lower   []float64 // by parameter, in its unit; nil means no bounds
	Upper   []float64 // by parameter, in its unit; nil means no bounds
	Priors  []Prior   // by parameter; nil means none
}

// Settings are the stopping rules. The zero value works.
type Settings struct {
	MaxIterations int     // 0 means 200
	Tolerance     float64 // 1, relative change of cost and parameters; 0 means 1e-10
	// Huber, if positive, bounds the influence of residuals beyond so many
	// standard deviations, 1. Priors are not affected.
	Huber float64
	// Bare leaves out what only the covariance needs, a Jacobian and its decomposition: Cov,
	// SD and AtBound stay empty, and nothing is Learnt.
	Bare bool
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
	if r.SD == nil {
		return 0
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
