package health

import (
	"math"
)

// inverse of a symmetric positive definite matrix; see invert.
func inverse(a []float64, p int) []float64 {
	inv := make([]float64, p*p)
	invert(inv, a, p, make([]float64, 2*p))
	return inv
}

// invert puts the inverse of a symmetric positive definite matrix a, of which the lower
// triangle is read, into inv. The matrix is scaled to a unit diagonal first; all matrices
// here carry a prior, so that they are definite. work is 2p of room.
//
// inv holds in turn the Cholesky factor L, its inverse M and MᵀM, row by row, so that no
// more room is needed (the order of LAPACK's dpotrf and dpotri, from memory).
func invert(inv, a []float64, p int, work []float64) {
	d, e := work[:p], work[p:2*p]
	for j := range p {
		d[j] = 1 / math.Sqrt(max(a[j*p+j], 1e-300))
	}
	for j := range p {
		lj := inv[j*p : j*p+j+1]
		for k := 0; k <= j; k++ {
			v := a[j*p+k] * d[j] * d[k]
			lk := inv[k*p : k*p+k+1]
			for m, x := range lk[:k] {
				v -= lj[m] * x
			}
			if j == k {
				lj[j] = math.Sqrt(max(v, 1e-13))
			} else {
				lj[k] = v / lk[k]
			}
		}
	}
	for j := range p {
		lj, s := inv[j*p:j*p+j+1], e[:j+1]
		clear(s)
		for k, c := range lj[:j] {
			for m, x := range inv[k*p : k*p+k+1] {
				s[m] += c * x
			}
		}
		lj[j] = 1 / lj[j]
		for k := range j {
			lj[k] = -s[k] * lj[j]
		}
	}
	for j := range p {
		s := e[:j+1]
		clear(s)
		for i := j; i < p; i++ {
			mi := inv[i*p : i*p+j+1]
			c := mi[j]
			for m, x := range mi {
				s[m] += c * x
			}
		}
		for k, v := range s {
			v *= d[j] * d[k]
			inv[j*p+k], inv[k*p+j] = v, v
		}
	}
}
