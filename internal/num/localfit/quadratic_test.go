package localfit

import (
	"math"
	"testing"
)

// TestSavitzkyGolay: the five-point quadratic filter has the published integer
// coefficients (−3, 12, 17, 12, −3)/35 for the value and (−2, −1, 0, 1, 2)/10 for
// the slope (Savitzky and Golay 1964, tables I and III; references/savitzky_golay.csv).
func TestSavitzkyGolay(t *testing.T) {
	x := []float64{-2, -1, 0, 1, 2}
	value := []float64{-3. / 35, 12. / 35, 17. / 35, 12. / 35, -3. / 35}
	slope := []float64{-0.2, -0.1, 0, 0.1, 0.2}
	for i := range x {
		y := make([]float64, 5)
		y[i] = 1
		v, s, ok := Quadratic(x, y, 0, 2)
		if !ok || math.Abs(v-value[i]) > 1e-12 || math.Abs(s-slope[i]) > 1e-12 {
			t.Errorf("impulse %d: value %g slope %g, published %g and %g", i, v, s, value[i], slope[i])
		}
	}
}

func TestFallbacks(t *testing.T) {
	x := []float64{1, 2, 3, 10}
	y := []float64{2, 4, 6, 7}
	if v, s, ok := Quadratic(x, y, 2, 1.5); !ok || math.Abs(v-4) > 1e-12 || math.Abs(s-2) > 1e-12 {
		t.Errorf("line: %g %g %v", v, s, ok)
	}
	if v, s, ok := Quadratic(x, y, 10, 1); !ok || v != 7 || s != 0 {
		t.Errorf("single: %g %g %v", v, s, ok)
	}
	if _, _, ok := Quadratic(x, y, 6, 1); ok {
		t.Error("empty window answered")
	}
}
