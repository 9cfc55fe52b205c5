package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dressed is a random digest of p columns: normal equations of more rows than columns.
func dressed(r *rand.Rand, p int) *digest {
	x, y := mat.NewDense(3*p, p, nil), mat.NewVecDense(3*p, nil)
	for i := range 3 * p {
		for j := range p {
			x.Set(i, j, r.NormFloat64())
		}
		y.SetVec(i, r.NormFloat64())
	}
	var xx mat.Dense
	var xy mat.VecDense
	xx.Mul(x.T(), x)
	xy.MulVec(x.T(), y)
	return &digest{XX: xx.RawMatrix().Data, XY: xy.RawVector().Data, N: float64(3 * p)}
}

func TestInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, p := range []int{1, 2, 5, 12} {
		a := dressed(r, p).XX
		var want mat.Dense
		if err := want.Inverse(mat.NewDense(p, p, a)); err != nil {
			t.Fatal(err)
		}
		for i, v := range inverse(a, p) {
			if w := want.RawMatrix().Data[i]; math.Abs(v-w) > 1e-9*(1+math.Abs(w)) {
				t.Errorf("%d columns, element %d: %.12g, gonum %.12g", p, i, v, w)
			}
		}
	}
}

// The car's coefficients are those of generalised least squares: Σ Xᵀ(XΩXᵀ + σ²)⁻¹X with
// every pass's covariance of its normal equations written out, Ω + A⁻¹.
func TestCoefficientsEqualGeneralisedLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	const p = 3
	s := spec{terms: []term{{"", 1, 5, 0.4}, {"a", -1, 2, 0.2}, {"b", 0, 3, 0.1}}}
	m := &model{center: make([]float64, p), coef: make([]float64, p), wander: []float64{0.5, 0.3, 0.2}, noise: 0.7, corr: 0.3}
	ds := []*digest{dressed(r, p), dressed(r, p), dressed(r, p)}
	weight := []float64{1, 0.4, 0.8}
	info, lin := mat.NewDense(p, p, nil), mat.NewVecDense(p, nil)
	for j, u := range s.terms {
		info.Set(j, j, 1/sq(u.sd))
		lin.SetVec(j, u.mean/sq(u.sd))
	}
	for i, d := range ds {
		var a, v, vi mat.Dense
		var b, g mat.VecDense
		a.Scale(m.rowPrecision(), mat.NewDense(p, p, d.XX))
		if err := v.Inverse(&a); err != nil {
			t.Fatal(err)
		}
		b.MulVec(&v, mat.NewVecDense(p, d.XY)) // the pass's own fit
		b.ScaleVec(m.rowPrecision(), &b)
		for j, w := range m.wander {
			v.Set(j, j, v.At(j, j)+w*w)
		}
		if err := vi.Inverse(&v); err != nil {
			t.Fatal(err)
		}
		vi.Scale(weight[i], &vi)
		g.MulVec(&vi, &b)
		info.Add(info, &vi)
		lin.AddVec(lin, &g)
	}
	var want mat.Dense
	if err := want.Inverse(info); err != nil {
		t.Fatal(err)
	}
	posts := [][]float64{make([]float64, p*p), make([]float64, p*p), make([]float64, p*p)}
	cov := s.coefficients(m, ds, weight, posts)
	for i, v := range cov {
		if w := want.RawMatrix().Data[i]; math.Abs(v-w) > 1e-10 {
			t.Errorf("covariance %d: %.12g, written out %.12g", i, v, w)
		}
	}
	var coef mat.VecDense
	coef.MulVec(&want, lin)
	for j, v := range m.coef {
		if math.Abs(v-coef.AtVec(j)) > 1e-10 {
			t.Errorf("coefficient %d: %.12g, written out %.12g", j, v, coef.AtVec(j))
		}
	}
}
