package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/force"
	"traplight/internal/gears"
	"traplight/internal/trace"
)

// slipping is a car of 1300 kg on its front wheels by closed form: an even pull of 5 m/s²
// but for a shift from 4 to 4.3 s, with driven wheels that slip by per for each unit of used grip.
func slipping(per float64) (*driveline, *grid, *force.Body, force.Surroundings) {
	b := &force.Body{Mass: 1300, Driven: force.Front, FrontShare: 0.6, CGHeight: 0.45, Wheelbase: 2.6, Radius: 0.32}
	sur := force.Surroundings{Density: 1.2}
	const n = 801
	g := &grid{n: n, x: make([]float64, n), v: make([]float64, n), a: make([]float64, n), engine: nans(n), dEngine: nans(n), wheel: nans(n), dWheel: nans(n), tick: gridStep}
	v := 0.0
	for i := range g.n {
		t := g.at(i)
		if g.a[i] = 5; t >= 4 && t < 4.3 {
			g.a[i] = b.FreeDecel(sur, v)
		}
		v += g.a[i] * gridStep
		g.v[i] = v
		used := b.TyreForce(sur, v, g.a[i]) / b.DrivenLoad(sur, v, g.a[i])
		g.wheel[i] = v / b.Radius * (1 + per*used)
	}
	d := &driveline{ratios: []float64{12, 8}, hasWheel: true, spans: []gears.Span{{Gear: 1, From: 0.8, To: 4.1}, {Gear: 2, From: 4.28, To: 8}},
		shifts: []shift{{from: 1, to: 2, left: 4.1, right: 4.28, seen: true}}}
	d.shifts[0].edge.Off, d.shifts[0].edge.On = 4, 4.3
	return d, g, b, sur
}

// By how much the wheels fall back in a shift is their slip before: from 0.03 and 0.07 per
// used grip the one shift leads a third to nine tenths of the way from the prior.
func TestSlipByShifts(t *testing.T) {
	for _, per := range []float64{0.03, 0.042, 0.07} {
		d, g, b, sur := slipping(per)
		got := d.unslip(g, b, sur).per
		if math.Abs(got.Value-per) > 1.65*got.SD || got.SD > 0.9*slipPerGripSD {
			t.Errorf("slip per used grip %.4f ± %.4f, want %.4f", got.Value, got.SD, per)
		}
		if moved := (got.Value - slipPerGrip) * (per - slipPerGrip); per != slipPerGrip && moved <= 0 {
			t.Errorf("the shift moved %.4f away from %.4f", got.Value, per)
		}
	}
}

// The slip that is taken off gives back the car's speed to half a per cent.
func TestUnslip(t *testing.T) {
	d, g, b, sur := slipping(slipPerGrip)
	u := d.unslip(g, b, sur)
	for _, at := range []float64{2, 3.5, 6, 7.5} {
		i := g.index(at)
		if v := g.wheel[i] * b.Radius / (1 + u.slip.V[i]); math.Abs(v/g.v[i]-1) > 0.005 {
			t.Errorf("at %.1f s %.2f m/s, the car does %.2f", at, v, g.v[i])
		}
	}
}

// A burst of spin, from which the wheel falls back, is left out; so is a wheel that runs
// away from the line faster than any tyre could push the car; the rest serves.
func TestHolds(t *testing.T) {
	d, g, b, sur := slipping(0)
	none := trace.Trace{V: make([]float64, g.n)}
	for i := range g.n {
		switch at := g.at(i); {
		case at > 5 && at < 5.6:
			g.wheel[i] *= 1.2
		case at < 1:
			g.wheel[i] = math.Min(80, 400*at)
		}
	}
	by := d.holds(g, b, sur, none, 0.05, 8)
	for _, c := range []struct {
		at   float64
		want bool
	}{{0.2, false}, {0.5, false}, {2, true}, {4.2, true}, {5.1, false}, {5.5, false}, {6, true}} {
		if by[g.index(c.at)] != c.want {
			t.Errorf("at %.1f s tells the speed: %v", c.at, !c.want)
		}
	}
}
