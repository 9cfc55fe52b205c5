package gpd

import (
	"math"
	"slices"
)

// Pareto is the law of the excess over a threshold: P(X−u > x | X > u) =
// (1 + ξx/σ)^(−1/ξ).
type Pareto struct {
	Threshold float64 // u, unit of the data
	Scale     float64 // σ, unit of the data
	Shape     float64 // ξ, 1
	ScaleSD   float64 // unit of the data
	ShapeSD   float64 // 1
	Rate      float64 // share of the data over the threshold, 1
	N         int     // values over the threshold
	LogLik    float64 // 1
	AtBound   bool    // the shape is held at MinShape
}

// Exceedances fits the values of x over threshold (unit of x) by maximum
// likelihood. It needs at least eight: ErrFew.
func Exceedances(x []float64, threshold float64) (Pareto, error) {
	f := Pareto{Threshold: threshold}
	var e []float64
	for _, v := range x {
		if v > threshold {
			e = append(e, v-threshold)
		}
	}
	f.N = len(e)
	if f.N < 8 || slices.Min(e) == slices.Max(e) {
		return f, ErrFew
	}
	f.Rate = float64(f.N) / float64(len(x))
	f.fit(e)
	return f, nil
}

// fit maximises Grimshaw's profile likelihood over θ = ξ/σ: for given θ the best
// ξ is the mean of log(1+θe).
func (f *Pareto) fit(e []float64) {
	n := float64(len(e))
	top, sum := slices.Max(e), 0.0
	for _, v := range e {
		sum += v
	}
	m := sum / n
	profile := func(theta float64) (lik, shape, scale float64) {
		if math.Abs(theta)*top < 1e-6 {
			return -n * (math.Log(m) + 1), 0, m // the exponential, its limit
		}
		s := 0.0
		for _, v := range e {
			s += math.Log1p(theta * v)
		}
		shape = s / n
		if shape < MinShape {
			shape = MinShape
		}
		scale = shape / theta
		if !(scale > 0) {
			return math.Inf(-1), shape, scale
		}
		return -n*math.Log(scale) - (1+1/shape)*s, shape, scale
	}
	// θ lies above −1/max; a grid finds the basin, golden section the maximum.
	lo := -1 / top * (1 - 1e-9)
	grid := make([]float64, 0, 160)
	for i := range 80 {
		grid = append(grid, lo*math.Pow(10, -float64(i)/20), math.Pow(10, float64(i)/16-3)/m)
	}
	grid = append(grid, 0)
	slices.Sort(grid)
	best, at := math.Inf(-1), 0
	for i, th := range grid {
		if l, _, _ := profile(th); l > best {
			best, at = l, i
		}
	}
	a, b := grid[max(at-1, 0)], grid[min(at+1, len(grid)-1)]
	// Golden section; nearer than the square root of the digits a maximum is flat.
	const g, near = 0.6180339887498949, 1e-10
	c, d := b-g*(b-a), a+g*(b-a)
	lc, _, _ := profile(c)
	ld, _, _ := profile(d)
	for b-a > near*max(math.Abs(a), math.Abs(b), 1e-6/top) {
		if lc > ld {
			b, d, ld = d, c, lc
			c = b - g*(b-a)
			lc, _, _ = profile(c)
		} else {
			a, c, lc = c, d, ld
			d = a + g*(b-a)
			ld, _, _ = profile(d)
		}
	}
	th := (a + b) / 2
	f.LogLik, f.Shape, f.Scale = profile(th)
	if l, sh, sc := profile(grid[at]); l > f.LogLik {
		f.LogLik, f.Shape, f.Scale = l, sh, sc
	}
	f.AtBound = f.Shape <= MinShape
	// Smith (1984): asymptotic covariance for ξ > −½.
	k := 1 + f.Shape
	f.ShapeSD = k / math.Sqrt(n)
	f.ScaleSD = f.Scale * math.Sqrt(2*k/n)
}

// Survival is the chance, 1, that a value (not only an exceedance) is over x,
// unit of the data; for x at or under the threshold it is Rate.
func (f Pareto) Survival(x float64) float64 {
	e := x - f.Threshold
	if e <= 0 {
		return f.Rate
	}
	if math.Abs(f.Shape) < 1e-9 {
		return f.Rate * math.Exp(-e/f.Scale)
	}
	u := 1 + f.Shape*e/f.Scale
	if u <= 0 {
		return 0
	}
	return f.Rate * math.Pow(u, -1/f.Shape)
}

// Level is the value, unit of the data, that is passed with chance p (1) by a
// value; p must be below Rate.
func (f Pareto) Level(p float64) float64 {
	r := f.Rate / p
	if math.Abs(f.Shape) < 1e-9 {
		return f.Threshold + f.Scale*math.Log(r)
	}
	return f.Threshold + f.Scale/f.Shape*math.Expm1(f.Shape*math.Log(r))
}
