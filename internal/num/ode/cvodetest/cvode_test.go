//go:build cvode

package cvodetest_test

import (
	"math"
	"testing"

	"traplight/internal/num/ode"
	"traplight/internal/num/ode/cvodetest"
	"traplight/internal/num/ode/odetest"
)

// Package ode and CVODE on the problems with known answers: both find them, and the
// evaluations of the slopes stand side by side.
func TestCVODEKnownAnswers(t *testing.T) {
	for _, p := range []odetest.Problem{odetest.Decay(), odetest.Logistic(), odetest.TwoBody(0.3), odetest.HIRES()} {
		for _, rel := range []float64{1e-6, 1e-9} {
			var errs [3]float64
			var evals [3]int
			for k := range errs {
				var sol *ode.Solution
				var err error
				if k == 0 {
					sol, err = ode.Solve(p.F, ode.Span{From: p.From, To: p.To}, p.Y0, ode.Config{Step: ode.PI{Rel: rel, Abs: []float64{rel * 1e-2}}})
				} else {
					sol, err = cvodetest.Tolerance{Rel: rel, Abs: []float64{rel * 1e-2}, Adams: k == 2}.Solve(p.F, ode.Span{From: p.From, To: p.To}, p.Y0, ode.Config{})
				}
				if err != nil {
					t.Fatal(p.Name, err)
				}
				for i, w := range p.Want {
					errs[k] = math.Max(errs[k], math.Abs(sol.EndY[i]-w)/math.Max(math.Abs(w), 1e-3))
				}
				evals[k] = sol.Stats.Evaluations
				if most := 3e4 * rel; errs[k] > most {
					t.Errorf("%s at %g: error %.2g of method %d", p.Name, rel, errs[k], k)
				}
			}
			t.Logf("%-9s rel %g: error and evaluations: ours %.1e %5d, backward differences %.1e %5d, Adams %.1e %5d",
				p.Name, rel, errs[0], evals[0], errs[1], evals[1], errs[2], evals[2])
		}
	}
}
