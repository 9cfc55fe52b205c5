package turbomap

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

// curve is a monotone piecewise cubic; with one node a constant, without any NaN.
type curve struct {
	x, y []float64
	f    interp.FritschButland
}

func newCurve(x, y []float64) curve {
	c := curve{}
	for i := range x {
		if !math.IsNaN(y[i]) {
			c.x, c.y = append(c.x, x[i]), append(c.y, y[i])
		}
	}
	if len(c.x) >= 2 {
		// The nodes are increasing and finite, which is all that Fit can complain of.
		if err := c.f.Fit(c.x, c.y); err != nil {
			panic(err)
		}
	}
	return c
}

// at evaluates the curve, held level beyond its ends.
func (c *curve) at(x float64) float64 {
	switch n := len(c.x); {
	case n == 0:
		return math.NaN()
	case n == 1 || x <= c.x[0]:
		return c.y[0]
	case x >= c.x[n-1]:
		return c.y[n-1]
	}
	return c.f.Predict(x)
}
