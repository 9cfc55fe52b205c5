// Package robust fits linear models that a minority of wild observations cannot
// pull away: M-estimates by iteratively re-weighted least squares, with prior
// knowledge of the coefficients where there is any.
//
// Sources: Huber (1964), Ann. Math. Statist. 35, 73–101; Beaton and Tukey
// (1974), Technometrics 16, 147–185; Holland and Welsch (1977), Commun. Statist.
// A6, 813–827, for the iteration and its tuning constants (all from memory).
// Checked against published robust fits and NIST certified least squares.
//
// Units: a coefficient has the unit of y over that of its column.
package robust

import (
	"errors"
	"math"
)

// ErrRank says that the columns do not determine the coefficients.
var ErrRank = errors.New("robust: the columns do not determine the coefficients")

// Config holds the knobs; its zero value is Huber's rule at 95 % efficiency.
type Config struct {
	Weight Weight
	// Tuning is c, in robust standard deviations, unit 1, positive. Zero means
	// 1.345 (Huber) or 4.685 (Tukey): 95 % efficiency at the normal.
	Tuning float64
	// Iterations is the most re-weightings; zero means 50.
	Iterations int
	// Tolerance is the relative change of the coefficients that ends the
	// iteration, unit 1; zero means 1e-8.
	Tolerance float64
	// MinScale is a floor under the residual scale, in the unit of y, for data
	// that repeat exactly (quantised channels); zero means none.
	MinScale float64
	// Prior, when not nil, adds knowledge of the coefficients.
	Prior *Prior
}

// Prior is a normal belief, independent by coefficient. An SD of +Inf leaves a
// coefficient free.
type Prior struct {
	Mean []float64 // unit of the coefficient
	SD   []float64 // unit of the coefficient
	// Scale is the residual standard deviation, in the unit of y, with which the
	// prior is weighed against the data; zero means the fit's own scale.
	Scale float64
}

// Fit is a fitted model.
type Fit struct {
	Coef   []float64 // unit of y over the column's
	Cov    []float64 // p×p row by row, covariance of Coef: products of their units
	Scale  float64   // robust residual standard deviation, unit of y
	Weight []float64 // 0–1 by observation, after the last iteration
	// Steps is the number of re-weightings done; Converged says that the last
	// changed nothing of note.
	Steps     int
	Converged bool
}

// Regress fits y ≈ X·coef. x holds n rows of p columns, row by row; y has n
// values. It panics when the lengths disagree, and returns ErrRank when neither
// rows nor prior determine the coefficients.
//
// The scale is the median absolute residual × 1.4826, found anew in each step
// (about zero, not about the median: the model has its own constant). Cov is
// Huber's asymptotic formula (Huber 1981, section 7.6, from memory) for the two
// robust rules, s²(XᵀX)⁻¹ for least squares.
func Regress(x, y []float64, p int, c Config) (Fit, error) {
	n := len(y)
	if p <= 0 || len(x) != n*p {
		panic("robust: x and y differ in length")
	}
	c = c.withDefaults()
	f := Fit{Coef: make([]float64, p), Weight: make([]float64, n)}
	for i := range f.Weight {
		f.Weight[i] = 1
	}
	r := make([]float64, n)
	var sys normal
	if c.Weight == Tukey {
		if err := leastAbsolute(&f, &sys, x, y, r, c); err != nil {
			return f, err
		}
	}
	for f.Steps = 0; ; f.Steps++ {
		sys.reset(p)
		sys.add(x, y, f.Weight)
		sys.prior(c.Prior, f.Scale)
		next, err := sys.solve()
		if err != nil {
			return f, err
		}
		change := relative(f.Coef, next)
		copy(f.Coef, next)
		residuals(r, x, y, f.Coef)
		f.Scale = max(c.scale(r, p), c.MinScale)
		if c.Weight == Square || (f.Steps > 0 && change < c.Tolerance) || f.Scale == 0 {
			f.Converged = true
			break
		}
		if f.Steps >= c.Iterations {
			break
		}
		for i, e := range r {
			f.Weight[i] = c.weight(e / f.Scale)
		}
	}
	f.Cov = c.covariance(&sys, x, r, f.Scale)
	return f, nil
}

// leastAbsolute leaves in f.Weight the bisquare's weights at the fit of least
// absolute residuals. The bisquare's criterion has many minima; this start does
// not move for wild values of y up to nearly half of the rows.
func leastAbsolute(f *Fit, sys *normal, x, y, r []float64, c Config) error {
	p := len(f.Coef)
	for range 60 {
		sys.reset(p)
		sys.add(x, y, f.Weight)
		sys.prior(c.Prior, f.Scale)
		coef, err := sys.solve()
		if err != nil {
			return err
		}
		change := relative(f.Coef, coef)
		copy(f.Coef, coef)
		residuals(r, x, y, coef)
		f.Scale = max(c.scale(r, p), c.MinScale)
		if f.Scale == 0 || change < 1e-6 {
			break
		}
		for i, e := range r {
			f.Weight[i] = 1 / max(math.Abs(e)/f.Scale, 1e-3)
		}
	}
	for i, e := range r {
		f.Weight[i] = 1
		if f.Scale > 0 {
			f.Weight[i] = c.weight(e / f.Scale)
		}
	}
	return nil
}

func (c Config) withDefaults() Config {
	if c.Tuning == 0 {
		c.Tuning = 1.345
		if c.Weight == Tukey {
			c.Tuning = 4.685
		}
	}
	if c.Iterations == 0 {
		c.Iterations = 50
	}
	if c.Tolerance == 0 {
		c.Tolerance = 1e-8
	}
	return c
}

// covariance needs sys factored; it re-forms XᵀX without weights.
func (c Config) covariance(sys *normal, x, r []float64, scale float64) []float64 {
	p, n := sys.p, len(r)
	ones := make([]float64, n)
	for i := range ones {
		ones[i] = 1
	}
	sys.reset(p)
	sys.add(x, r, ones)
	sys.prior(c.Prior, scale)
	cov, err := sys.inverse()
	if err != nil {
		return nil
	}
	k := scale * scale
	if c.Weight != Square && scale > 0 {
		var m, m2, q float64
		for _, e := range r {
			u := e / scale
			d := c.slope(u)
			m += d
			m2 += d * d
			w := c.weight(u) * u
			q += w * w
		}
		N := float64(n)
		m /= N
		if m > 0 && n > p {
			kk := 1 + float64(p)/N*(m2/N-m*m)/(m*m)
			k = kk * kk * (q * scale * scale / (N - float64(p))) / (m * m)
		}
	}
	for i := range cov {
		cov[i] *= k
	}
	return cov
}

func residuals(r, x, y, coef []float64) {
	p := len(coef)
	for i := range y {
		e := y[i]
		for j, b := range coef {
			e -= x[i*p+j] * b
		}
		r[i] = e
	}
}

func relative(a, b []float64) float64 {
	var d, s float64
	for i := range a {
		d += (a[i] - b[i]) * (a[i] - b[i])
		s += b[i] * b[i]
	}
	if s == 0 {
		return math.Sqrt(d)
	}
	return math.Sqrt(d / s)
}
