package gpd

import (
	"math"
	"slices"
)

// BlockMaxima is the generalised extreme value law: P(M ≤ x) =
// exp(−(1 + ξ(x−μ)/σ)^(−1/ξ)).
type BlockMaxima struct {
	Location, Scale     float64 // μ, σ, unit of the data
	Shape               float64 // ξ, 1
	LocationSD, ScaleSD float64 // unit of the data
	ShapeSD             float64 // 1
	LogLik              float64 // 1
}

// Maxima fits block maxima by maximum likelihood, with standard deviations from
// the observed information. It needs at least eight.
func Maxima(x []float64) (BlockMaxima, error) {
	var f BlockMaxima
	if len(x) < 8 || slices.Min(x) == slices.Max(x) {
		return f, ErrFew
	}
	m, sd := 0.0, 0.0
	for _, v := range x {
		m += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - m) * (v - m) / float64(len(x))
	}
	sd = math.Sqrt(sd)
	nll := func(p []float64) float64 { // location and scale in units of sd about the mean
		mu, s, xi := m+p[0]*sd, sd*math.Exp(p[1]), p[2]
		l := 0.0
		for _, v := range x {
			z := (v - mu) / s
			if math.Abs(xi) < 1e-8 {
				l += math.Log(s) + z + math.Exp(-z)
				continue
			}
			u := 1 + xi*z
			if u <= 0 || xi < MinShape {
				return math.Inf(1)
			}
			l += math.Log(s) + (1+1/xi)*math.Log(u) + math.Pow(u, -1/xi)
		}
		return l
	}
	// Moments of the Gumbel law give the start.
	start := []float64{-0.45, math.Log(math.Sqrt(6) / math.Pi), 0.05}
	p, low := descend(nll, start)
	f.Location, f.Scale, f.Shape, f.LogLik = m+p[0]*sd, sd*math.Exp(p[1]), p[2], -low
	if v, ok := inverseHessian(nll, p); ok {
		f.LocationSD, f.ScaleSD, f.ShapeSD = sd*math.Sqrt(v[0]), f.Scale*math.Sqrt(v[1]), math.Sqrt(v[2])
	}
	return f, nil
}

// Level is the value, unit of the data, that a block's maximum passes with
// chance p, 1: the 1/p-block level.
func (f BlockMaxima) Level(p float64) float64 {
	y := -math.Log1p(-p)
	if math.Abs(f.Shape) < 1e-9 {
		return f.Location - f.Scale*math.Log(y)
	}
	return f.Location + f.Scale/f.Shape*math.Expm1(-f.Shape*math.Log(y))
}

// descend is Newton's method in three dimensions with numerical derivatives,
// damped towards the gradient where the curvature is not positive, and halved
// until it goes down.
func descend(f func([]float64) float64, start []float64) (at []float64, low float64) {
	at = slices.Clone(start)
	low = f(at)
	for range 200 {
		g, h := derivatives(f, at)
		var step [3]float64
		for damp := 0.0; ; damp = 4*damp + 1e-3 {
			m := h
			for i := range 3 {
				m[i][i] += damp * (1 + math.Abs(h[i][i]))
			}
			inv, ok := inverse(m)
			if !ok {
				continue
			}
			for i := range 3 {
				step[i] = -(inv[i][0]*g[0] + inv[i][1]*g[1] + inv[i][2]*g[2])
			}
			break
		}
		moved := false
		for k := 1.0; k > 1e-10; k /= 2 {
			next := []float64{at[0] + k*step[0], at[1] + k*step[1], at[2] + k*step[2]}
			if v := f(next); v < low {
				moved = low-v > 1e-13*math.Abs(low)
				at, low = next, v
				break
			}
		}
		if !moved {
			break
		}
	}
	return at, low
}

// inverseHessian gives the diagonal of the inverse of f's second derivatives.
func inverseHessian(f func([]float64) float64, at []float64) (diag [3]float64, ok bool) {
	_, h := derivatives(f, at)
	inv, ok := inverse(h)
	for i := range 3 {
		diag[i] = inv[i][i]
	}
	return diag, ok
}

// derivatives are gradient and Hessian by central differences of 1e-3 in
// parameters of the order of one.
func derivatives(f func([]float64) float64, at []float64) (g [3]float64, a [3][3]float64) {
	const h = 1e-3
	e := func(i int, di float64, j int, dj float64) float64 {
		p := slices.Clone(at)
		p[i] += di
		p[j] += dj
		return f(p)
	}
	for i := range 3 {
		g[i] = (e(i, h, i, 0) - e(i, -h, i, 0)) / (2 * h)
		for j := range 3 {
			a[i][j] = (e(i, h, j, h) - e(i, h, j, -h) - e(i, -h, j, h) + e(i, -h, j, -h)) / (4 * h * h)
		}
	}
	return g, a
}

// inverse of a symmetric matrix; ok says that it is positive definite.
func inverse(a [3][3]float64) (v [3][3]float64, ok bool) {
	minor := a[0][0]*a[1][1] - a[0][1]*a[1][0]
	det := 0.0
	for j := range 3 {
		k, l := (j+1)%3, (j+2)%3
		for i := range 3 {
			m, n := (i+1)%3, (i+2)%3
			v[j][i] = a[m][k]*a[n][l] - a[m][l]*a[n][k]
		}
		det += a[0][j] * v[j][0]
	}
	for i := range 3 {
		for j := range 3 {
			v[i][j] /= det
		}
	}
	return v, a[0][0] > 0 && minor > 0 && det > 0
}
