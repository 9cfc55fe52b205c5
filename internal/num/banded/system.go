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

	a []float64 // n×(w+1): a[i*(w+1)+k] = A[i, i-w+k], the diagonal at k = w; once factored L of A = LLᵀ
	b []float64 // n×p: B; once factored L⁻¹B
	c []float64 // p×p: each pair of unknowns once, on either side of the diagonal
	g []float64 // n
	h []float64 // p

	d []float64 // one over the diagonal of L
	s []float64 // Cholesky factor of C − (L⁻¹B)ᵀ(L⁻¹B), lower, p×p

	none []float64 // p zeros
}

// New makes a system of n band unknowns with half-bandwidth w and p border
// unknowns, all zero.
func New(n, w, p int) *System {
	return &System{N: n, W: w, P: p,
		a: make([]float64, n*(w+1)), b: make([]float64, n*p), c: make([]float64, p*p),
		g: make([]float64, n), h: make([]float64, p),
		d: make([]float64, n), s: make([]float64, p*p), none: make([]float64, p)}
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
	w1, p := s.W+1, s.P
	cols, js := row.Col, row.J[:len(row.Col)]
	pcols, pjs := row.PCol, row.PJ[:len(row.PCol)]
	for i, ci := range cols {
		wj := weight * js[i]
		if wj == 0 {
			continue
		}
		a := s.a[ci*w1 : ci*w1+w1]
		off := s.W - ci
		for k, ck := range cols[:i+1] {
			a[off+ck] += wj * js[k]
		}
		s.g[ci] += wj * residual
		b := s.b[ci*p : ci*p+p]
		for k, pk := range pcols {
			b[pk] += wj * pjs[k]
		}
	}
	for i, pi := range pcols {
		wj := weight * pjs[i]
		c := s.c[pi*p : pi*p+p]
		for k, pk := range pcols[:i+1] {
			c[pk] += wj * pjs[k]
		}
		s.h[pi] += wj * residual
	}
}

// AddTwo is Add for two rows with the same Col and PCol, in little more than the time of
// one: what they touch is fetched and put back once. Weights are positive.
func (s *System) AddTwo(r, q *Row, residual, weight [2]float64) {
	w1, p := s.W+1, s.P
	cols, pcols := r.Col, r.PCol
	rj, qj, rp, qp := r.J[:len(cols)], q.J[:len(cols)], r.PJ[:len(pcols)], q.PJ[:len(pcols)]
	for i, ci := range cols {
		u, v := weight[0]*rj[i], weight[1]*qj[i]
		a := s.a[ci*w1 : ci*w1+w1]
		off := s.W - ci
		for k, ck := range cols[:i+1] {
			a[off+ck] += u*rj[k] + v*qj[k]
		}
		s.g[ci] += u*residual[0] + v*residual[1]
		b := s.b[ci*p : ci*p+p]
		for k, pk := range pcols {
			b[pk] += u*rp[k] + v*qp[k]
		}
	}
	for i, pi := range pcols {
		u, v := weight[0]*rp[i], weight[1]*qp[i]
		c := s.c[pi*p : pi*p+p]
		for k, pk := range pcols[:i+1] {
			c[pk] += u*rp[k] + v*qp[k]
		}
		s.h[pi] += u*residual[0] + v*residual[1]
	}
}

// Factor factorises the accumulated matrix, in its place: before more rows are added,
// Reset must empty the system. It returns ErrNotPositive when an unknown is undetermined.
func (s *System) Factor() error {
	if err := s.factorBand(); err != nil {
		return err
	}
	if s.P == 0 {
		return nil
	}
	s.whitenBorder()
	s.schur()
	return cholesky(s.s, s.P)
}

// factorBand computes L of A = LLᵀ, row by row.
func (s *System) factorBand() error {
	n, w := s.N, s.W
	w1 := w + 1
	for i := 0; i < n; i++ {
		lo := max(0, i-w)
		ri := s.a[i*w1 : i*w1+w1]
		for j := lo; j <= i; j++ {
			rj := s.a[j*w1 : j*w1+w1]
			sum := ri[w-i+j]
			ai := ri[w-i+lo : w-i+j] // lo is never before j−w
			aj := rj[w-j+lo : w]
			aj = aj[:len(ai)]
			for k, v := range ai {
				sum -= v * aj[k]
			}
			if j == i {
				if !(sum > 0) {
					return ErrNotPositive
				}
				ri[w] = math.Sqrt(sum)
				s.d[i] = 1 / ri[w]
			} else {
				ri[w-i+j] = sum * s.d[j]
			}
		}
	}
	return nil
}

// whitenBorder computes L⁻¹B, three rows of it at a time to each below.
func (s *System) whitenBorder() {
	n, w, p := s.N, s.W, s.P
	w1 := w + 1
	for i := 0; i < n; i++ {
		ri := s.a[i*w1 : i*w1+w1]
		bi := s.b[i*p : i*p+p]
		k := max(0, i-w)
		for ; k+2 < i; k += 3 {
			f0, f1, f2 := ri[w-i+k], ri[w-i+k+1], ri[w-i+k+2]
			b0, b1, b2 := s.b[k*p:k*p+p], s.b[k*p+p:k*p+2*p], s.b[k*p+2*p:k*p+3*p]
			b0, b1, b2 = b0[:len(bi)], b1[:len(bi)], b2[:len(bi)]
			for q := range bi {
				bi[q] -= f0*b0[q] + f1*b1[q] + f2*b2[q]
			}
		}
		for ; k < i; k++ {
			f := ri[w-i+k]
			b0 := s.b[k*p : k*p+p]
			b0 = b0[:len(bi)]
			for q := range bi {
				bi[q] -= f * b0[q]
			}
		}
		d := s.d[i]
		for q := range bi {
			bi[q] *= d
		}
	}
}

// schur computes the lower triangle of C − (L⁻¹B)ᵀ(L⁻¹B), two rows of L⁻¹B at a time.
func (s *System) schur() {
	n, p := s.N, s.P
	for q := range p {
		for r := range q {
			s.s[q*p+r] = s.c[q*p+r] + s.c[r*p+q]
		}
		s.s[q*p+q] = s.c[q*p+q]
	}
	for i := 0; i < n; i += 2 {
		b0 := s.b[i*p : i*p+p]
		b1 := s.none
		if i+1 < n {
			b1 = s.b[i*p+p : i*p+2*p]
		}
		for q := range b0 {
			v0, v1 := b0[q], b1[q]
			if v0 == 0 && v1 == 0 {
				continue
			}
			row := s.s[q*p : q*p+q+1]
			r0, r1 := b0[:len(row)], b1[:len(row)]
			for r := range row {
				row[r] -= v0*r0[r] + v1*r1[r]
			}
		}
	}
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
