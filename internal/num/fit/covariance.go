package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// finish computes the covariance at the solution.
func (s *solver) finish(p, r []float64, J *mat.Dense) {
	res := s.res
	res.P, res.Cost = append([]float64(nil), p...), half(r)
	for _, v := range r[:s.prob.M] {
		res.RSS += v * v
	}
	if s.set.Bare {
		return
	}
	s.jacobian(p, r, J)
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
