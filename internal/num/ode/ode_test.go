package ode_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/num/ode"
	"traplight/internal/num/ode/odetest"
)

func worst(got, want []float64) float64 {
	e := 0.0
	for i := range got {
		e = math.Max(e, math.Abs(got[i]-want[i])/math.Max(math.Abs(want[i]), 1e-3))
	}
	return e
}

func TestKnownAnswers(t *testing.T) {
	for _, c := range []struct {
		p   odetest.Problem
		rel float64
		tol float64 // worst relative error of a component
	}{
		{odetest.Decay(), 1e-10, 1e-8},
		{odetest.Logistic(), 1e-10, 1e-9},
		{odetest.TwoBody(0.3), 1e-10, 1e-7},
		{odetest.TwoBody(0.9), 1e-11, 1e-6},
		{odetest.HIRES(), 1e-10, 1e-8},
		{odetest.Arenstorf(), 1e-13, 1e-4}, // the orbit magnifies errors some 1e6 times
	} {
		sol, err := ode.Solve(c.p.F, ode.Span{From: c.p.From, To: c.p.To}, c.p.Y0,
			ode.Config{Step: ode.PI{Rel: c.rel, Abs: []float64{c.rel * 1e-2}}})
		if err != nil {
			t.Fatal(err)
		}
		if e := worst(sol.EndY, c.p.Want); e > c.tol || sol.Outcome != ode.ReachedEnd {
			t.Errorf("%s: error %.2g, want below %.2g (%v, %+v)", c.p.Name, e, c.tol, sol.Outcome, sol.Stats)
		}
	}
}

// The printed answers of the references for DETEST D, so that the Kepler
// solution is itself checked (they agree to 3e-12, 11 digits).
func TestTwoBodyPrinted(t *testing.T) {
	for e, want := range map[float64][]float64{
		0.3: {-0.17770273571404, 0.94677847197059, -1.03029416319297, 0.12110748900540},
		0.9: {-1.29526625098758, 0.40039389637923, -0.67753909247076, -0.12708381542787},
	} {
		if d := worst(odetest.TwoBody(e).Want, want); d > 5e-11 {
			t.Errorf("e %g: %g", e, d)
		}
	}
}

func TestInvariant(t *testing.T) {
	p, inv := odetest.LotkaVolterra()
	sol, _ := ode.Solve(p.F, ode.Span{To: p.To}, p.Y0, ode.Config{Step: ode.PI{Rel: 1e-9}, Keep: 0.1})
	i0 := inv(p.Y0)
	for i, y := range sol.Y {
		if d := math.Abs(inv(y) - i0); d > 1e-6 {
			t.Fatalf("at %g the invariant is off by %g", sol.T[i], d)
		}
	}
	if len(sol.T) != 301 {
		t.Errorf("kept %d points, want 301", len(sol.T))
	}
}

// slope is the least-squares slope of log error over log step.
func slope(h, e []float64) float64 {
	var sx, sy, sxx, sxy float64
	n := float64(len(h))
	for i := range h {
		x, y := math.Log(h[i]), math.Log(e[i])
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}

func TestOrder(t *testing.T) {
	p := odetest.TwoBody(0.3)
	var hs, end, mid []float64
	for _, n := range []int{200, 300, 450, 675, 1000} {
		h := p.To / float64(n)
		sol, _ := ode.Solve(p.F, ode.Span{To: p.To}, p.Y0, ode.Config{Fixed: h})
		hs = append(hs, h)
		end = append(end, worst(sol.EndY, p.Want))
		// the interpolant alone: one step from exact values, in the middle
		one, y := 0.0, make([]float64, 4)
		ref, _ := ode.Solve(p.F, ode.Span{To: 0.37 * h}, p.Y0, ode.Config{Step: ode.PI{Rel: 1e-13, Abs: []float64{1e-15}}})
		_, _ = ode.Solve(p.F, ode.Span{To: h}, p.Y0, ode.Config{Fixed: h, Each: func(s *ode.Step) {
			s.At(0.37*h, y)
			for i := range y {
				one = math.Max(one, math.Abs(y[i]-ref.EndY[i]))
			}
		}})
		mid = append(mid, one)
	}
	if s := slope(hs, end); s < 4.7 || s > 5.4 {
		t.Errorf("order of the method %.2f, want 5 (%v)", s, end)
	}
	if s := slope(hs, mid); s < 4.6 || s > 5.4 {
		t.Errorf("local order of the interpolant %.2f, want 5 (order 4; %v)", s, mid)
	}
}

// A ball from 10 m, g 9.81 m/s², keeping 0.8 of its speed: the times of its
// bounces are a geometric series.
func TestBouncingBall(t *testing.T) {
	want := []float64{1.42784312, 3.71239212, 5.54003132, 7.00214267, 8.17183176}
	f := func(_ float64, y, d []float64) { d[0], d[1] = y[1], -9.81 }
	y, at := []float64{10, 0}, 0.0
	for i, w := range want {
		sol, err := ode.Solve(f, ode.Span{From: at, To: 20}, y, ode.Config{
			Events: []ode.Event{{Name: "ground", F: func(_ float64, y []float64) float64 { return y[0] }, Direction: ode.Falling, Stop: true}}})
		if err != nil || sol.Outcome != ode.Stopped {
			t.Fatal(err, sol.Outcome)
		}
		if math.Abs(sol.End-w) > 1e-8 {
			t.Errorf("bounce %d at %.9f, want %.9f", i, sol.End, w)
		}
		at, y = sol.End, []float64{0, -0.8 * sol.EndY[1]}
	}
}

func TestEvents(t *testing.T) {
	circle := func(_ float64, y, d []float64) { d[0], d[1] = y[1], -y[0] } // y0 = sin t, y1 = cos t
	sin := func(_ float64, y []float64) float64 { return y[0] }
	cfg := func(e ...ode.Event) ode.Config {
		return ode.Config{Step: ode.PI{Rel: 1e-11, Abs: []float64{1e-13}}, Events: e}
	}
	for _, c := range []struct {
		name string
		ev   []ode.Event
		want []float64
		out  ode.Outcome
	}{
		{"zero at the start sleeps", []ode.Event{{F: sin}}, []float64{math.Pi, 2 * math.Pi, 3 * math.Pi}, ode.ReachedEnd},
		{"rising", []ode.Event{{F: sin, Direction: ode.Rising}}, []float64{2 * math.Pi}, ode.ReachedEnd},
		{"falling", []ode.Event{{F: sin, Direction: ode.Falling}}, []float64{math.Pi, 3 * math.Pi}, ode.ReachedEnd},
		{"stop at the first", []ode.Event{{F: sin, Stop: true}}, []float64{math.Pi}, ode.Stopped},
		{"closest of two in a step", []ode.Event{
			{F: func(t float64, _ []float64) float64 { return t - 1.5002 }, Stop: true},
			{F: func(t float64, _ []float64) float64 { return t - 1.5001 }}}, []float64{1.5001, 1.5002}, ode.Stopped},
	} {
		sol, _ := ode.Solve(circle, ode.Span{To: 10}, []float64{0, 1}, cfg(c.ev...))
		var got []float64
		for _, h := range sol.Hits {
			got = append(got, h.T)
		}
		if len(got) != len(c.want) || sol.Outcome != c.out {
			t.Errorf("%s: %v (%v), want %v", c.name, got, sol.Outcome, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-8 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}

func TestOutcomesAndErrors(t *testing.T) {
	f := func(_ float64, y, d []float64) { d[0] = y[0] * y[0] } // runs away at t = 1
	sol, err := ode.Solve(f, ode.Span{To: 2}, []float64{1}, ode.Config{})
	if err != nil || sol.Outcome == ode.ReachedEnd {
		t.Errorf("a pole was stepped over: %v %v", sol.Outcome, err)
	}
	sol, _ = ode.Solve(f, ode.Span{To: 0.9}, []float64{1}, ode.Config{MaxSteps: 3})
	if sol.Outcome != ode.OutOfSteps || !strings.Contains(sol.Outcome.String(), "stiff") {
		t.Error(sol.Outcome)
	}
	for _, c := range []struct {
		s ode.Span
		y []float64
		h float64
		w error
	}{{ode.Span{}, []float64{1}, 0, ode.ErrSpan}, {ode.Span{To: 1}, nil, 0, ode.ErrState}, {ode.Span{To: 1}, []float64{math.NaN()}, 0, ode.ErrState},
		{ode.Span{To: 1}, []float64{1}, -0.1, ode.ErrStep}, {ode.Span{To: 1}, []float64{1}, math.NaN(), ode.ErrStep}} {
		if _, err := ode.Solve(f, c.s, c.y, ode.Config{Fixed: c.h}); err != c.w {
			t.Errorf("%v, want %v", err, c.w)
		}
	}
}

// A workspace used again gives what a fresh one gives, and shifting the clock
// of an autonomous problem shifts the answer.
func TestProperties(t *testing.T) {
	var w ode.Workspace
	rapid.Check(t, func(r *rapid.T) {
		p := odetest.TwoBody(rapid.Float64Range(0, 0.7).Draw(r, "e"))
		to := rapid.Float64Range(0.5, 5).Draw(r, "to")
		shift := rapid.Float64Range(-50, 50).Draw(r, "shift")
		cfg := ode.Config{Step: ode.PI{Rel: 1e-9}}
		a, _ := ode.Solve(p.F, ode.Span{To: to}, p.Y0, cfg)
		b, _ := w.Solve(p.F, ode.Span{To: to}, p.Y0, cfg)
		c, _ := w.Solve(p.F, ode.Span{From: shift, To: shift + to}, p.Y0, cfg)
		for i := range a.EndY {
			if a.EndY[i] != b.EndY[i] {
				r.Fatal("a used workspace changed the answer")
			}
			if math.Abs(a.EndY[i]-c.EndY[i]) > 1e-7 {
				r.Fatal("a shifted clock changed the answer")
			}
		}
	})
}

func BenchmarkTwoBody(b *testing.B) {
	p := odetest.TwoBody(0.5)
	var w ode.Workspace
	for b.Loop() {
		sol, _ := w.Solve(p.F, ode.Span{To: p.To}, p.Y0, ode.Config{Step: ode.PI{Rel: 1e-6}})
		b.ReportMetric(float64(sol.Stats.Evaluations), "evals")
	}
}

// y' = 1 + max(0, y − 1) from 0 bends where y passes 1 at t = 1: y(2) = e. A solver
// that is told ends a step there and keeps to its tolerance; one that is not does not.
func TestBends(t *testing.T) {
	f := func(_ float64, y, d []float64) { d[0] = 1 + math.Max(0, y[0]-1) }
	told := ode.Bends{N: 2, F: func(t float64, y, g []float64) { g[0], g[1] = y[0]-1, math.NaN() }}
	for _, rel := range []float64{1e-4, 1e-6, 1e-8} {
		cfg := ode.Config{Step: ode.PI{Rel: rel, Abs: []float64{rel}}}
		plain, _ := ode.Solve(f, ode.Span{To: 2}, []float64{0}, cfg)
		cfg.Bends = told
		sol, _ := ode.Solve(f, ode.Span{To: 2}, []float64{0}, cfg)
		a, b := math.Abs(sol.EndY[0]-math.E), math.Abs(plain.EndY[0]-math.E)
		if a > 2*rel || sol.Stats.Bent == 0 || sol.Outcome != ode.ReachedEnd {
			t.Errorf("at %g: off by %.1e with %+v; not told %.1e with %+v", rel, a, sol.Stats, b, plain.Stats)
		}
		if b < a {
			t.Errorf("at %g the bend costs nothing: %.1e, told %.1e", rel, b, a)
		}
	}
}
