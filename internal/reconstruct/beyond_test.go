package reconstruct

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/gears"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// TestBeyondTheEngine: torque that leaps without boost is not the engine's; torque that rises with
// boost is, and so is the bite of a clutch; with an accelerometer nothing is held back.
func TestBeyondTheEngine(t *testing.T) {
	const n = 600
	for _, c := range []struct {
		name     string
		hub      func(t float64) float64 // times the engine's own at ambient pressure
		boost    func(t float64) float64 // Pa absolute
		felt     bool
		from, to float64 // s that must be marked, a tenth about it aside
	}{
		{"a receiver strays", func(t float64) float64 { return 2 + step(t, 2, 2.5)*2.4 }, func(float64) float64 { return 200e3 }, false, 2, 2.5},
		{"a spike", func(t float64) float64 { return 2 + step(t, 2, 2.15)*8 }, func(float64) float64 { return 200e3 }, false, 2, 2.15},
		{"boost rises", func(t float64) float64 { return 1 + t/3 }, func(t float64) float64 { return 100e3 * (1 + t/3) }, false, 0, 0},
		{"a clutch bites", func(t float64) float64 { return 2 + step(t, 2, 2.1)*1.2 }, func(float64) float64 { return 200e3 }, false, 0, 0},
		{"an accelerometer feels it", func(t float64) float64 { return 2 + step(t, 2, 2.5)*2.4 }, func(float64) float64 { return 200e3 }, true, 0, 0},
	} {
		g := &grid{n: n, engine: make([]float64, n)}
		d := &driveline{ratios: []float64{10}, spans: []gears.Span{{Gear: 1, From: 0, To: 6}}, blurred: !c.felt, full: make([]bool, n), hub: make([]float64, n)}
		k := &work{p: &pass.Pass{}, g: g, d: d, sheet: &car.Sheet{}, drive: make([]float64, n), load: make([]float64, n)}
		set := &dictionary.Set{Channels: []dictionary.Channel{{Quantity: quantity.ManifoldPressure, Trace: trace.Trace{}}}}
		for i := range n {
			at := g.at(i)
			d.full[i], d.hub[i], g.engine[i] = true, 3000*c.hub(at), 400+30*at
			set.Channels[0].Trace.T = append(set.Channels[0].Trace.T, at)
			set.Channels[0].Trace.V = append(set.Channels[0].Trace.V, c.boost(at))
		}
		k.hub = d.hub
		k.findBeyond(&signals{set: set})
		for i, gone := range k.beyond {
			at := g.at(i)
			if at > c.from && at < c.to && !gone {
				t.Fatalf("%s: %.2f s is taken for the engine's", c.name, at)
			}
			if gone && (at < c.from-0.12 || at > c.to+0.12 || c.to == 0) {
				t.Fatalf("%s: %.2f s is left out", c.name, at)
			}
		}
		if told := len(k.p.Notes) > 0; told != (c.to > 0) {
			t.Errorf("%s: told %v", c.name, k.p.Notes)
		}
	}
}

// step is 1 between two times, else 0.
func step(t, from, to float64) float64 {
	if t > from-1e-9 && t < to-1e-9 {
		return 1
	}
	return 0
}
