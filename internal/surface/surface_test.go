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

// TestAgrees holds the surface against the full forecast over what may be set: the
// median within 0.1 mph, the ends of the interval within 0.4.
func TestAgrees(t *testing.T) {
	const mph = 0.44704
	f, n := fitted(t)
	s, err := surface.Make(context.Background(), f.Model, n, false, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	b := s.Bounds()
	gears := len(b.Boost)
	r := rand.New(rand.NewPCG(3, 4))
	for k := range 10 {
		var x []float64
		for _, v := range slices.Concat(b.Boost, b.Shift) {
			u := r.Float64()
			if k < 4 {
				u = math.Round(u) // a corner
			}
			x = append(x, v[0]+(v[1]-v[0])*u)
		}
		full := *n
		full.Target, full.ShiftAim = x[:gears], x[gears:]
		want, err := forecast.Run(context.Background(), f.Model, &full, forecast.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := s.At(x[:gears], x[gears:])
		t.Logf("median off by %+.3f mph, ends by %+.3f and %+.3f, stopping by %+.1f m", (got.Trap.P50-want.Trap.P50)/mph, (got.Trap.P05-want.Trap.P05)/mph, (got.Trap.P95-want.Trap.P95)/mph, got.Stop.P95-want.Stopping.P95)
		if d := math.Abs(got.Trap.P50 - want.Trap.P50); d > 0.1*mph {
			t.Errorf("at %.4g: median %.3f m/s, the full forecast has %.3f", x, got.Trap.P50, want.Trap.P50)
		}
		if d := max(math.Abs(got.Trap.P05-want.Trap.P05), math.Abs(got.Trap.P95-want.Trap.P95)); d > 0.4*mph {
			t.Errorf("at %.4g: ends %.3f, %.3f m/s, the full forecast has %.3f, %.3f", x, got.Trap.P05, got.Trap.P95, want.Trap.P05, want.Trap.P95)
		}
		if d := math.Abs(got.Stop.P95 - want.Stopping.P95); d > 10 {
			t.Errorf("at %.4g: stopping %.0f m, the full forecast has %.0f", x, got.Stop.P95, want.Stopping.P95)
		}
		if want.Aim > 0 && math.Abs(got.Target.Chance-want.Chance) > 0.08 {
			t.Errorf("at %.4g: chance %.2f, the full forecast has %.2f", x, got.Target.Chance, want.Chance)
		}
	}
	// Out of bounds is brought to them.
	low := make([]float64, gears)
	if a, b := s.At(low, nil), s.At([]float64{b.Boost[0][0], b.Boost[1][0], b.Boost[2][0], b.Boost[3][0]}, nil); a.Trap != b.Trap {
		t.Errorf("beyond the bounds %v, at them %v", a.Trap, b.Trap)
	}
}

// BenchmarkAt is one redraw while a setting is dragged.
func BenchmarkAt(b *testing.B) {
	f, n := fitted(b)
	s, err := surface.Make(context.Background(), f.Model, n, false, 0, nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		s.At(s.Bounds().Now, s.Bounds().NowShift)
	}
}
