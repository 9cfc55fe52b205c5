package fit_test

import (
	"math"
	"testing"

	"traplight/internal/num/fit"
)

// A parameter that acts on few residuals may be asked for those alone: the answer is the same,
// for fewer evaluations. Three decays of one rate, each from its own start.
func TestParts(t *testing.T) {
	const groups, each = 3, 20
	model := func(p []float64, g, i int) float64 { return p[1+g] * math.Exp(-p[0]*float64(i)/each) }
	truth := []float64{1.3, 2, 3, 5}
	var y []float64
	for g := range groups {
		for i := range each {
			y = append(y, model(truth, g, i)+0.01*math.Sin(7*float64(g*each+i)))
		}
	}
	y[5] += 3 // for Huber's weight
	asked := 0
	part := func(p, r []float64, from, to int) {
		asked += to - from
		for k := from; k < to; k++ {
			r[k] = (model(p, k/each, k%each) - y[k]) / 0.01
		}
	}
	prob := fit.Problem{M: len(y), Residuals: func(p, r []float64) { part(p, r, 0, len(y)) },
		Priors: []fit.Prior{{Mean: 1, SD: 1}, {}, {Mean: 3, SD: 0.02}, {}}}
	set := fit.Settings{Huber: 1.5, Tolerance: 1e-12}
	start := []float64{1, 1, 1, 1}
	whole, err := fit.Fit(prob, start, set)
	if err != nil {
		t.Fatal(err)
	}
	all := asked
	asked = 0
	prob.Part = part
	prob.Touches = func(j int) (int, int) {
		if j == 0 {
			return 0, len(y)
		}
		return (j - 1) * each, j * each
	}
	parts, err := fit.Fit(prob, start, set)
	if err != nil {
		t.Fatal(err)
	}
	if 10*asked > 7*all {
		t.Errorf("%d residuals were asked for, %d without the parts", asked, all)
	}
	set.Bare = true
	bare, err := fit.Fit(prob, start, set)
	if err != nil {
		t.Fatal(err)
	}
	for j := range start {
		if d := math.Abs(parts.P[j]/whole.P[j] - 1); d > 1e-6 {
			t.Errorf("parameter %d: %g by parts, %g as a whole", j, parts.P[j], whole.P[j])
		}
		if d := math.Abs(parts.SD[j]/whole.SD[j] - 1); d > 1e-4 {
			t.Errorf("parameter %d: ± %g by parts, ± %g as a whole", j, parts.SD[j], whole.SD[j])
		}
		if bare.P[j] != parts.P[j] || bare.Learnt(0) != 0 || bare.Cov != nil {
			t.Errorf("parameter %d bare: %g, %g with the covariance", j, bare.P[j], parts.P[j])
		}
	}
}
