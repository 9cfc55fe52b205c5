package app

import (
	"context"
	"path/filepath"
	"testing"

	"traplight/internal/reftest"
)

// TestSizeFromOwnPasses: three slower passes of a reference car tell the power of a faster
// one. The independent model behind the logs had 725 kW at the hubs and 84.24 m/s in the
// fourth (its truth file).
func TestSizeFromOwnPasses(t *testing.T) {
	dir := reftest.Path(t, "logs")
	q := SizeRequest{
		Cars: []string{filepath.Join(dir, "car_marlin.toml")}, Notes: filepath.Join(dir, "passes.toml"), Target: "84.24m/s", Pass: "a04", Draws: 120,
		Logs: []string{filepath.Join(dir, "a01_marlin.csv"), filepath.Join(dir, "a02_marlin.csv"), filepath.Join(dir, "a03_marlin.csv")},
	}
	r, err := Size(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	w := r.Power.Wheel
	t.Logf("%.0f kW (%.0f to %.0f); truth 725", w.Value/1e3, w.Low/1e3, w.High/1e3)
	if 725e3 < w.Low || 725e3 > w.High || r.Power.Own == nil {
		t.Errorf("%.0f kW (%.0f to %.0f), truth 725", w.Value/1e3, w.Low/1e3, w.High/1e3)
	}
	q.Logs = nil
	blind, err := Size(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := r.Engine.Boost, blind.Engine.Boost; a.High-a.Low >= b.High-b.Low {
		t.Errorf("own passes do not narrow the boost: %+v, %+v", a, b)
	}
}
