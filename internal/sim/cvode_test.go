//go:build cvode

package sim_test

import (
	"math"
	"testing"

	"traplight/internal/num/ode"
	"traplight/internal/num/ode/cvodetest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// passes are runs of the invented car that differ in what makes them hard.
func passes() map[string]*sim.Pass {
	out := map[string]*sim.Pass{}
	for name, change := range map[string]func(p *sim.Pass){
		"as it is": func(*sim.Pass) {}, "little grip": func(p *sim.Pass) { p.GripScale, p.GuardSlip = 0.6, 0.4 },
		"no slip": func(p *sim.Pass) { p.Ideal.Grip = true }, "nitrous": func(p *sim.Pass) { p.Nitrous = true },
		"wind and hill": func(p *sim.Pass) { p.Air.Headwind, p.Grade = 6, 0.008 },
	} {
		p := simtest.InventedPass()
		change(p)
		out[name] = p
	}
	return out
}

// stiff is a Runner whose passes CVODE integrates, segment by segment, with its own
// root finding. Tolerances per component are in proportion to the built-in ones.
func stiff(rel float64) *sim.Runner {
	return &sim.Runner{Car: simtest.Invented(), Solver: func(f ode.Func, span ode.Span, y0 []float64, cfg ode.Config) (*ode.Solution, error) {
		abs := []float64{300, 3, 30, 0.3, 30, 0.3}
		for i := range abs {
			abs[i] *= rel
		}
		cfg.First = 0
		return cvodetest.Tolerance{Rel: rel, Abs: abs}.Solve(f, span, y0, cfg)
	}}
}

// The trap speed of package ode against CVODE's at a tight tolerance: within 1e-4 m/s
// at the default tolerance and finer, within 0.05 mph at the rough one. Evaluations of
// the slopes side by side.
func TestCVODEPasses(t *testing.T) {
	for name, p := range passes() {
		ref, err := stiff(1e-11).Run(p)
		if err != nil {
			t.Fatal(name, err)
		}
		for _, rel := range []float64{sim.Rough, sim.Fine, 1e-8, 1e-10} {
			a, errA := (&sim.Runner{Car: simtest.Invented(), Rel: rel}).Run(p)
			b, errB := stiff(rel).Run(p)
			if errA != nil || errB != nil {
				t.Fatal(name, errA, errB)
			}
			da, db := math.Abs(a.Trap-ref.Trap), math.Abs(b.Trap-ref.Trap)
			t.Logf("%-13s rel %.0e: off by %.1e m/s with %5d evaluations; CVODE %.1e with %5d", name, rel, da, a.Evaluation, db, b.Evaluation)
			if most := 1e-4; rel <= sim.Fine && (da > most || math.Abs(a.Time-ref.Time) > 1e-5) {
				t.Errorf("%s: %.7f m/s at %.7f s, CVODE %.7f at %.7f", name, a.Trap, a.Time, ref.Trap, ref.Time)
			}
			if da > 0.02235 { // 0.05 mph
				t.Errorf("%s at %.0e: off by %.4f m/s", name, rel, da)
			}
		}
	}
}

func BenchmarkCVODE(b *testing.B) {
	r, p := stiff(sim.Rough), simtest.InventedPass()
	for b.Loop() {
		res, err := r.Run(p)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(res.Evaluation), "evals")
	}
}
