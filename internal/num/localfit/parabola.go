package localfit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// ParabolaMisfit is how far the points (x, y), of one length, lie off their common parabola by
// least squares: the root mean square, in the unit of y. It is infinite where there are fewer
// than four points or their places do not tell a parabola.
func ParabolaMisfit(x, y []float64) float64 {
	n := len(x)
	if n < 4 {
		return math.Inf(1)
	}
	mid, half := (x[0]+x[n-1])/2, math.Abs(x[n-1]-x[0])/2
	powers := mat.NewDense(n, 3, nil)
	for i := range x {
		u := (x[i] - mid) / half
		powers.SetRow(i, []float64{1, u, u * u})
	}
	var c, off mat.VecDense
	if err := c.SolveVec(powers, mat.NewVecDense(n, y)); err != nil {
		return math.Inf(1)
	}
	off.MulVec(powers, &c)
	off.SubVec(&off, mat.NewVecDense(n, y))
	return mat.Norm(&off, 2) / math.Sqrt(float64(n))
}
