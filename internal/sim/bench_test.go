package sim_test

import (
	"math"
	"testing"

	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// varied are passes that differ in grip, air, settings and shifts by a low-discrepancy
// sequence.
func varied(n int) []*sim.Pass {
	frac := func(i int, step float64) float64 { _, f := math.Modf(float64(i+1) * step); return f }
	var out []*sim.Pass
	for i := range n {
		p := simtest.InventedPass()
		p.GripScale = 0.6 + 0.7*frac(i, 0.6180339887)
		p.Air.Headwind = -5 + 10*frac(i, 0.7548776662)
		p.TorqueScale = []float64{0.85 + 0.3*frac(i, 0.5698402910)}
		p.ShiftTime = []float64{0.1 + 0.3*frac(i, 0.8191725134)}
		p.Nitrous = i%3 == 0
		p.GuardSlip = 0.4 * float64(i%2)
		out = append(out, p)
	}
	return out
}

// BenchmarkPass is one simulated pass, half a mile in five gears, at either tolerance.
// Beside the time: the evaluations of the slopes, passes a second, and the worst and mean
// error of the trap speed against the same passes at 1e-10, in mph (0.05 is allowed).
func BenchmarkPass(b *testing.B) {
	b.Run("Fine", func(b *testing.B) { benchPass(b, sim.Fine) })
	b.Run("Rough", func(b *testing.B) { benchPass(b, sim.Rough) })
}

func benchPass(b *testing.B, rel float64) {
	ps := varied(60)
	r, fine := sim.Runner{Car: simtest.Invented(), Rel: rel}, sim.Runner{Car: simtest.Invented(), Rel: 1e-10}
	worst, mean, evals := 0.0, 0.0, 0
	for _, p := range ps {
		a, errA := r.Run(p)
		f, errF := fine.Run(p)
		if errA != nil || errF != nil {
			b.Fatal(errA, errF)
		}
		e := math.Abs(a.Trap-f.Trap) / 0.44704
		worst, mean, evals = max(worst, e), mean+e/float64(len(ps)), evals+a.Evaluation
	}
	i := 0
	for b.Loop() {
		if _, err := r.Run(ps[i%len(ps)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
	b.ReportMetric(float64(evals)/float64(len(ps)), "evals")
	b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "passes/s")
	b.ReportMetric(worst, "worst-mph")
	b.ReportMetric(mean, "mean-mph")
}
