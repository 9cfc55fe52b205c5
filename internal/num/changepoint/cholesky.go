package changepoint

import (
	"math"
)

func cholesky(a []float64, p int) ([]float64, bool) {
	l := make([]float64, p*p)
	for j := range p {
		for k := 0; k <= j; k++ {
			v := a[j*p+k]
			for m := range k {
				v -= l[j*p+m] * l[k*p+m]
			}
			if j == k {
				if !(v > 0) {
					return nil, false
				}
				l[j*p+j] = math.Sqrt(v)
			} else {
				l[j*p+k] = v / l[k*p+k]
			}
		}
	}
	return l, true
}

func forward(l, b []float64, p int) {
	for j := range p {
		for m := range j {
			b[j] -= l[j*p+m] * b[m]
		}
		b[j] /= l[j*p+j]
	}
}

func backward(l, b []float64, p int) {
	for j := p - 1; j >= 0; j-- {
		for m := j + 1; m < p; m++ {
			b[j] -= l[m*p+j] * b[m]
		}
		b[j] /= l[j*p+j]
	}
}

func invert(a []float64, p int) ([]float64, bool) {
	l, ok := cholesky(a, p)
	if !ok {
		return nil, false
	}
	inv := make([]float64, p*p)
	e := make([]float64, p)
	for c := range p {
		clear(e)
		e[c] = 1
		forward(l, e, p)
		backward(l, e, p)
		for j := range p {
			inv[j*p+c] = e[j]
		}
	}
	return inv, true
}
