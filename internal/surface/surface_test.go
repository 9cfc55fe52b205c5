package surface_test

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/reftest"
	"traplight/internal/surface"
)

// fitted is the invented shop's car, fitted to its day.
func fitted(tb testing.TB) (*app.Fitted, *forecast.Next) {
	tb.Helper()
	if testing.Short() {
		tb.Skip("a fit takes seconds")
	}
	ctx, dir := context.Background(), filepath.Join(tb.TempDir(), "shop")
	_, shop, err := app.Demo(ctx, app.DemoRequest{Seed: 1, Save: dir, Pass: 1})
	if err != nil {
		tb.Fatal(err)
	}
	q := app.ForecastRequest{Cars: []string{filepath.Join(dir, shop.Sheet)}, Notes: filepath.Join(dir, shop.Notes)}
	for _, l := range shop.Logs {
		q.History = append(q.History, filepath.Join(dir, l))
	}
	f, err := app.FitHistory(ctx, q, "")
	if err != nil {
		tb.Fatal(err)
	}
	n, err := forecast.Prepare(f.Model, f.Notes, &f.Notes.Planned[0])
	if err != nil {
		tb.Fatal(err)
	}
	return f, n
}

// fiveSpeed is a five-speed fitted to three passes whose tyres spin when boost is raised:
// the hardest of the reference logs for a surface.
func fiveSpeed(t testing.TB) (*app.Fitted, *forecast.Next) {
	t.Helper()
	if testing.Short() {
		t.Skip("a fit takes seconds")
	}
	dir := reftest.Path(t, "logs")
	q := app.ForecastRequest{Cars: []string{filepath.Join(dir, "car_marlin.toml")}, Notes: filepath.Join(dir, "passes.toml")}
	for _, l := range []string{"a01", "a02", "a03"} {
		q.History = append(q.History, filepath.Join(dir, l+"_marlin.csv"))
	}
	f, err := app.FitHistory(context.Background(), q, "")
	if err != nil {
		t.Fatal(err)
	}
	n, err := forecast.Prepare(f.Model, f.Notes, f.Notes.PlannedByID("a03-q1"))
	if err != nil {
		t.Fatal(err)
	}
	return f, n
}

const mph = 0.44704 // m/s

// agrees holds a surface against the full forecast at settings all over what may be set,
// half of them corners, and gives by how much its medians were off, mph.
func agrees(t *testing.T, f *app.Fitted, n *forecast.Next, s *surface.Surface, count int) (worst, rms float64) {
	t.Helper()
	ctx, b := context.Background(), s.Bounds()
	gears := len(b.Boost)
	r, total := rand.New(rand.NewPCG(3, 4)), 0.0
	for k := range count {
		var x []float64
		for _, v := range slices.Concat(b.Boost, b.Shift) {
			u := r.Float64()
			if k%2 == 0 {
				u = math.Round(u)
			}
			x = append(x, v[0]+(v[1]-v[0])*u)
		}
		full := *n
		full.Target, full.ShiftAim = x[:gears], x[gears:]
		want, err := forecast.Run(ctx, f.Model, &full, forecast.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.At(ctx, x[:gears], x[gears:])
		if err != nil {
			t.Fatal(err)
		}
		d := (got.Trap.P50 - want.Trap.P50) / mph
		worst, rms = max(worst, math.Abs(d)), rms+d*d/float64(count)
		ends := max(math.Abs(got.Trap.P05-want.Trap.P05), math.Abs(got.Trap.P95-want.Trap.P95)) / mph
		total += float64(got.Draws) / float64(count)
		t.Logf("%d draws: median off by %+.3f mph, ends by %.3f, stopping by %+.1f m", got.Draws, d, ends, got.Stop.P95-want.Stopping.P95)
		if ends > 0.6 {
			t.Errorf("at %.4g: ends %.3f, %.3f m/s, the full forecast has %.3f, %.3f", x, got.Trap.P05, got.Trap.P95, want.Trap.P05, want.Trap.P95)
		}
		if d := math.Abs(got.Stop.P95 - want.Stopping.P95); d > 20 {
			t.Errorf("at %.4g: stopping %.0f m, the full forecast has %.0f", x, got.Stop.P95, want.Stopping.P95)
		}
		if want.Aim > 0 && math.Abs(got.Target.Chance-want.Chance) > 0.08 {
			t.Errorf("at %.4g: chance %.2f, the full forecast has %.2f", x, got.Target.Chance, want.Chance)
		}
	}
	t.Logf("%.0f draws a look", total)
	return worst, math.Sqrt(rms)
}

// TestAgrees: the medians lie within 0.1 mph of the full forecast's over what may be set, on a
// car too on which some settings send half of the draws over their tyres' peak. Where the full
// forecast was made the first car's surface says the same, before it is settled and after.
func TestAgrees(t *testing.T) {
	for name, c := range map[string]struct {
		car    func(testing.TB) (*app.Fitted, *forecast.Next)
		learns bool
		count  int
		worst  float64 // mph
		rms    float64 // mph
	}{
		"invented four-speed":   {fitted, true, 5, 0.1, 0.05},
		"five-speed that spins": {fiveSpeed, false, 6, 0.1, 0.07},
	} {
		t.Run(name, func(t *testing.T) {
			f, n := c.car(t)
			s, err := surface.New(f.Model, n, false, 0)
			if err != nil {
				t.Fatal(err)
			}
			same := func(string) {}
			if c.learns {
				same = learns(t, f, n, s)
			}
			same("before it is settled")
			if err := s.Settle(context.Background(), 0, nil); err != nil {
				t.Fatal(err)
			}
			same("settled")
			worst, rms := agrees(t, f, n, s, c.count)
			t.Logf("worst %.3f mph, root mean square %.3f", worst, rms)
			if worst > c.worst || rms > c.rms {
				t.Errorf("a median is off by %.3f mph, the root mean square by %.3f", worst, rms)
			}
		})
	}
}

// learns tells a surface the full forecast of the settings as they stand, and returns what holds
// it to that.
func learns(t *testing.T, f *app.Fitted, n *forecast.Next, s *surface.Surface) (same func(when string)) {
	t.Helper()
	ctx, b := context.Background(), s.Bounds()
	here := *n
	here.Target, here.ShiftAim = b.Now, b.NowShift
	full, err := forecast.Run(ctx, f.Model, &here, forecast.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s.Learn(b.Now, b.NowShift, full)
	return func(when string) {
		t.Helper()
		g, err := s.At(ctx, b.Now, b.NowShift)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(g.Trap.P50-full.Trap.P50) > 1e-3 || math.Abs(g.Trap.P05-full.Trap.P05) > 1e-2 || math.Abs(g.Stop.P95-full.Stopping.P95) > 1 {
			t.Errorf("%s: %.4f m/s, stopping %.1f m; in full %.4f, %.1f", when, g.Trap.P50, g.Stop.P95, full.Trap.P50, full.Stopping.P95)
		}
	}
}

// BenchmarkAt is one redraw while a setting is dragged.
func BenchmarkAt(b *testing.B) {
	f, n := fitted(b)
	s, err := surface.New(f.Model, n, false, 0)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := s.At(context.Background(), s.Bounds().Now, s.Bounds().NowShift); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSettle is the work behind the page before the sliders are sharp.
func BenchmarkSettle(b *testing.B) {
	f, n := fitted(b)
	for b.Loop() {
		s, err := surface.New(f.Model, n, false, 0)
		if err == nil {
			err = s.Settle(context.Background(), 0, nil)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
