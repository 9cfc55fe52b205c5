package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/force"
	"traplight/internal/gears"
)

// rubbing is a launch by closed form: a clutch that rubs draws the engine down evenly from
// 460 rad/s until it meets the wheels, which rise at 25 rad/s² from 1 s on, in a ratio of 9.
func rubbing(own bool) *work {
	const n, ratio = 400, 9.0
	g := &grid{n: n, v: make([]float64, n), a: make([]float64, n), engine: nans(n), wheel: nans(n), dEngine: nans(n), dWheel: nans(n), tick: gridStep}
	for i := range g.n {
		t := g.at(i)
		w := math.Max(0, 25*(t-1))
		g.v[i] = 0.3 * w
		g.engine[i] = 460
		if t > 1 {
			g.engine[i] = math.Max(460-300*(t-1), 0.996*w*ratio) // the shafts wind up a little
		}
		if own && w > 5 {
			g.wheel[i] = w
		}
	}
	d := &driveline{ratios: []float64{ratio}, hasWheel: own, spans: []gears.Span{{Gear: 1, From: 1.9, To: 3.9}}}
	return &work{g: g, d: d, b: &force.Body{Radius: 0.3}}
}

// Engine and wheels meet where the lines cross: 460 − 300·s = 9·25·s, s = 0.876 s.
func TestClosing(t *testing.T) {
	k := rubbing(true)
	at, sd, ok := k.closing(1, 9)
	if want := 1 + 460/525.0; !ok || math.Abs(at-want) > gridStep || sd > 0.04 {
		t.Errorf("closed at %.3f ± %.3f s (%v), want %.3f", at, sd, ok, want)
	}
	if v, ok := k.lowestEngine(1, at); !ok || math.Abs(v-9*25*460/525.0) > 4 {
		t.Errorf("lowest %.1f rad/s (%v)", v, ok)
	}
	if v, _, ok := k.heldAtLine(1); !ok || v != 460 {
		t.Errorf("held at %.1f rad/s (%v)", v, ok)
	}
	// by the engine alone: where it turns upward
	if at, _, ok := rubbing(false).closing(1, 9); !ok || math.Abs(at-1-460/525.0) > 0.03 {
		t.Errorf("by the engine alone closed at %.3f s (%v)", at, ok)
	}
	// a wheel speed that was worked out from the engine's knows nothing of the clutch
	k = rubbing(true)
	for i := range k.g.wheel {
		if !math.IsNaN(k.g.wheel[i]) {
			k.g.wheel[i] = k.g.engine[i] / 9
		}
	}
	if !k.derivedWheel(9) {
		t.Error("a derived wheel speed is taken for a sensor's")
	}
	if rubbing(true).derivedWheel(8) {
		t.Error("a sensor is taken for derived")
	}
}
