package forecast

import (
	"math"
	"testing"

	"traplight/internal/reftest"
)

// The published table of scores of normal forecasts (references,
// scoring_normal.csv; Gneiting and Raftery 2007).
func TestScoresOfNormals(t *testing.T) {
	for _, r := range reftest.Rows(t, "scoring_normal.csv") {
		m, s, y := r.Num(t, "mu"), r.Num(t, "sigma"), r.Num(t, "y")
		for _, c := range []struct {
			name string
			got  float64
		}{{"crps", CRPSNormal(m, s, y)}, {"pit", PITNormal(m, s, y)}} {
			if d := math.Abs(c.got - r.Num(t, c.name)); d > 2e-10 {
				t.Errorf("%s of %v: off by %g", c.name, r, d)
			}
		}
	}
}

// An ensemble 1 2 4 7 against 3: 0.75; an interval 1 to 3 at 90 % against 3.5: 12
// (references, estimation.md).
func TestScoresOfDraws(t *testing.T) {
	if s := CRPSSample([]float64{4, math.NaN(), 1, 7, 2}, 3); math.Abs(s-0.75) > 1e-12 {
		t.Errorf("%g, want 0.75", s)
	}
	if s := IntervalScore(1, 3, 0.1, 3.5); math.Abs(s-12) > 1e-12 {
		t.Errorf("%g, want 12", s)
	}
}
