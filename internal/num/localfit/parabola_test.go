package localfit

import (
	"math"
	"testing"
)

// TestParabolaMisfit: points of a parabola lie on it, a cubic off its best parabola by what
// Legendre's third polynomial is (root mean square 2/5·√(1/7) of x³ over −1 … 1).
func TestParabolaMisfit(t *testing.T) {
	var x, square, cube []float64
	for i := -2000; i <= 2000; i++ {
		u := float64(i) / 2000
		x, square, cube = append(x, 7+3*u), append(square, 2-u+4*u*u), append(cube, u*u*u)
	}
	if m := ParabolaMisfit(x, square); m > 1e-12 {
		t.Errorf("a parabola lies %.3g off itself", m)
	}
	if m, want := ParabolaMisfit(x, cube), 0.4*math.Sqrt(1.0/7); math.Abs(m-want) > 1e-3*want {
		t.Errorf("a cubic lies %.6g off, want %.6g", m, want)
	}
	if m := ParabolaMisfit(x[:3], square[:3]); !math.IsInf(m, 1) {
		t.Errorf("three points lie %.3g off", m)
	}
	if m := ParabolaMisfit([]float64{1, 1, 1, 1}, []float64{1, 2, 3, 4}); !math.IsInf(m, 1) {
		t.Errorf("points at one place lie %.3g off", m)
	}
}
