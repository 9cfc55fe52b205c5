package force

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// TestCoast: exact rolls at many speeds recover drag area and rolling resistance;
// a single roll leaves the prior almost as it was in what it cannot tell.
func TestCoast(t *testing.T) {
	b, s := sample(Front)
	prior := Resistance{DragArea: quantity.Estimate{Value: 0.72, SD: 0.072}, Rolling: quantity.Estimate{Value: 0.016, SD: 0.004},
		Headwind: quantity.Estimate{Value: s.Headwind, SD: 0.01}, Grade: quantity.Estimate{Value: s.Grade, SD: 1e-5}}
	var rolls []Roll
	for v := 10.0; v < 90; v += 2 {
		rolls = append(rolls, Roll{V: v, Accel: b.FreeDecel(s, v), SD: 0.001})
	}
	got := Coast(*b, s, prior, rolls)
	if math.Abs(got.DragArea.Value-b.DragArea) > 0.01 || math.Abs(got.Rolling.Value-b.Rolling) > 0.0005 {
		t.Errorf("drag area %g (true %g), rolling %g (true %g)", got.DragArea.Value, b.DragArea, got.Rolling.Value, b.Rolling)
	}
	if got.DragArea.SD > 0.02 {
		t.Errorf("forty rolls leave ±%g m²", got.DragArea.SD)
	}
	none := Coast(*b, s, prior, nil)
	if math.Abs(none.DragArea.Value-0.72) > 1e-12 || math.Abs(none.DragArea.SD-0.072) > 1e-12 {
		t.Errorf("without rolls the prior changed: %+v", none.DragArea)
	}
	root := got.Root()
	for i := range root {
		for j := range root {
			sum := 0.0
			for k := range root {
				sum += root[i][k] * root[j][k]
			}
			if math.Abs(sum-got.Cov[i][j]) > 1e-9*math.Sqrt(got.Cov[i][i]*got.Cov[j][j]) {
				t.Errorf("root does not square to the covariance at %d %d", i, j)
			}
		}
	}
}
