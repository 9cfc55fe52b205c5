// Package banded solves least-squares problems whose unknowns lie along a line
// and are coupled only to near neighbours, together with a few global unknowns
// that touch everything: the normal matrix is a band with a dense border,
//
//	[ A  B ] [x]   [g]
//	[ Bᵀ C ] [p] = [h]
//
// A is n×n, symmetric, with half-bandwidth w; p, the number of border unknowns,
// is small. This is the batch (information) form of a Kalman smoother with
// unknown constants: the same answer as filtering forward and smoothing
// backward (Rauch, Tung and Striebel 1965, AIAA J. 3, 1445–1450), in one
// factorisation, with every posterior covariance at hand.
//
// Cost: n·w² + n·w·p multiplications a factorisation. Accuracy: that of normal
// equations; repeated Gauss–Newton steps, whose gradients are exact, act as
// iterative refinement.
package banded

import (
	"errors"
	"math"
)

// ErrNotPositive says that the normal matrix is singular to working precision:
// some unknown is not determined by any row.
var ErrNotPositive = errors.New("banded: normal matrix is not positive definite")

// System accumulates weighted rows and solves. Create it with New.
type System struct {
	N, W, P int // band unknowns, half-bandwidth, border unknowns

	a []float64 // n×(w+1): a[i*(w+1)+k] = A[i, i-w+k], the diagonal at k = w
	b []float64 // n×p
	c []float64 // p×p, full
	g []float64 // n
	h []float64 // p

	l  []float64 // factor of a
	wb []float64 // L⁻¹B, n×p
	s  []float64 // Cholesky factor of C − (L⁻¹B)ᵀ(L⁻¹B), lower, p×p
}

// New makes a system of n band unknowns with half-bandwidth w and p border
// unknowns, all zero.
func New(n, w, p int) *System {
	return &System{N: n, W: w, P: p,
		a: make([]float64, n*(w+1)), b: make([]float64, n*p), c: make([]float64, p*p),
		g: make([]float64, n), h: make([]float64, p),
		l: make([]float64, n*(w+1)), wb: make([]float64, n*p), s: make([]float64, p*p)}
}

// Reset empties the system for another pass of accumulation.
func (s *System) Reset() {
	clear(s.a)
	clear(s.b)
	clear(s.c)
	clear(s.g)
	clear(s.h)
}

// Row is one linearised observation: residual r ≈ J·δ, with weight 1/variance.
// Col holds ascending band indices spanning at most W; PCol border indices.
type Row struct {
	Col  []int
	J    []float64 // derivative by band unknown, residual's unit over the unknown's
	PCol []int
	PJ   []float64 // derivative by border unknown, same unit as J
}

// Add accumulates weight·JᵀJ and weight·Jᵀ·residual. A non-positive weight adds
// nothing. The residual is observed minus predicted.
func (s *System) Add(row *Row, residual, weight float64) {
	if weight <= 0 {
		return
	}
	w1 := s.W + 1
	for i, ci := range row.Col {
		wj := weight * row.J[i]
		if wj == 0 {
			continue
		}
		base := ci*w1 + s.W - ci
		for k := 0; k <= i; k++ {
			s.a[base+row.Col[k]] += wj * row.J[k]
		}
		for k, pc := range row.PCol {
			s.b[ci*s.P+pc] += wj * row.PJ[k]
		}
		s.g[ci] += wj * residual
	}
	for i, pi := range row.PCol {
		wj := weight * row.PJ[i]
		for k, pk := range row.PCol {
			s.c[pi*s.P+pk] += wj * row.PJ[k]
		}
		s.h[pi] += wj * residual
	}
}

// Factor factorises the accumulated matrix. It returns ErrNotPositive when an
// unknown is undetermined.
func (s *System) Factor() error {
	n, w, p := s.N, s.W, s.P
	w1 := w + 1
	copy(s.l, s.a)
	for i := 0; i < n; i++ {
		lo := max(0, i-w)
		ri := s.l[i*w1 : i*w1+w1]
		for j := lo; j <= i; j++ {
			rj := s.l[j*w1 : j*w1+w1]
			sum := ri[w-i+j]
			k0 := max(lo, j-w)
			ai := ri[w-i+k0 : w-i+j]
			aj := rj[w-j+k0 : w]
			for k, v := range ai {
				sum -= v * aj[k]
			}
			if j == i {
				if !(sum > 0) {
					return ErrNotPositive
				}
				ri[w] = math.Sqrt(sum)
			} else {
				ri[w-i+j] = sum / rj[w]
			}
		}
	}
	if p == 0 {
		return nil
	}
	copy(s.wb, s.b)
	for i := 0; i < n; i++ {
		ri := s.l[i*w1 : i*w1+w1]
		bi := s.wb[i*p : i*p+p]
		for k := max(0, i-w); k < i; k++ {
			f := ri[w-i+k]
			if f == 0 {
				continue
			}
			bk := s.wb[k*p : k*p+p]
			for q := range bi {
				bi[q] -= f * bk[q]
			}
		}
		d := 1 / ri[w]
		for q := range bi {
			bi[q] *= d
		}
	}
	copy(s.s, s.c)
	for i := 0; i < n; i++ {
		bi := s.wb[i*p : i*p+p]
		for q := 0; q < p; q++ {
			v := bi[q]
			if v == 0 {
				continue
			}
			row := s.s[q*p : q*p+q+1]
			for r := range row {
				row[r] -= v * bi[r]
			}
		}
	}
	return cholesky(s.s, p)
}

// cholesky overwrites the lower triangle of the p×p matrix m by its factor.
func cholesky(m []float64, p int) error {
	for i := 0; i < p; i++ {
		for j := 0; j <= i; j++ {
			sum := m[i*p+j]
			for k := 0; k < j; k++ {
				sum -= m[i*p+k] * m[j*p+k]
			}
			if i == j {
				if !(sum > 0) {
					return ErrNotPositive
				}
				m[i*p+i] = math.Sqrt(sum)
			} else {
				m[i*p+j] = sum / m[j*p+j]
			}
		}
	}
	return nil
}

// Solve returns the least-squares correction (x of length N, p of length P) for
// the accumulated right-hand side. Factor must have succeeded.
func (s *System) Solve() (x, p []float64) {
	v := s.Whiten(s.g, s.h, 0)
	return s.unwhiten(v)
}
