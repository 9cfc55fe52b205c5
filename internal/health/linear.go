package health

import (
	"math"
)

func mul(a, b []float64, p int) []float64 {
	c := make([]float64, p*p)
	for i := range p {
		for k := range p {
			v := a[i*p+k]
			if v == 0 {
				continue
			}
			for j := range p {
				c[i*p+j] += v * b[k*p+j]
			}
		}
	}
	return c
}

// inverse of a symmetric positive definite matrix, scaled to a unit diagonal
// first; all matrices here carry a prior, so that they are definite.
func inverse(a []float64, p int) []float64 {
	d := make([]float64, p)
	for j := range p {
		d[j] = 1 / math.Sqrt(max(a[j*p+j], 1e-300))
	}
	l := make([]float64, p*p)
	for j := range p {
		for k := 0; k <= j; k++ {
			v := a[j*p+k] * d[j] * d[k]
			for m := range k {
				v -= l[j*p+m] * l[k*p+m]
			}
			if j == k {
				l[j*p+j] = math.Sqrt(max(v, 1e-13))
			} else {
				l[j*p+k] = v / l[k*p+k]
			}
		}
	}
	inv := make([]float64, p*p)
	e := make([]float64, p)
	for c := range p {
		clear(e)
		e[c] = 1
		for j := range p {
			for m := range j {
				e[j] -= l[j*p+m] * e[m]
			}
			e[j] /= l[j*p+j]
		}
		for j := p - 1; j >= 0; j-- {
			for m := j + 1; m < p; m++ {
				e[j] -= l[m*p+j] * e[m]
			}
			e[j] /= l[j*p+j]
		}
		for j := range p {
			inv[j*p+c] = e[j] * d[j] * d[c]
		}
	}
	return inv
}
