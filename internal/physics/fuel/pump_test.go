package fuel

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// A usual in-tank pump's curve at 13.5 V as its maker states it (from memory: 255, 235, 212 and
// 185 L/h at 3, 4, 5 and 6 bar): one point alone foretells the others within two of its
// spreads, two points within 3.5 percent, beyond them too.
func TestPump(t *testing.T) {
	lh := 1e-3 / 3600
	curve := map[float64]float64{3e5: 255 * lh, 4e5: 235 * lh, 5e5: 212 * lh, 6e5: 185 * lh}
	at := quantity.Estimate{Value: 13.5, SD: 0.1}
	one := Pump{Flow: []float64{curve[3e5]}, Press: []float64{3e5}}
	two := Pump{Flow: []float64{curve[3e5], curve[5e5]}, Press: []float64{3e5, 5e5}}
	for press, flow := range curve {
		if e := one.At(press, at); math.Abs(e.Value-flow) > 2*e.SD {
			t.Errorf("one point at %g bar: %v, want %g", press/1e5, e, flow)
		}
		if e := two.At(press, at); math.Abs(e.Value-flow) > 0.035*flow {
			t.Errorf("two points at %g bar: %v, want %g", press/1e5, e, flow)
		}
	}
	near(t, "a rated point", two.At(5e5, at).Value, curve[5e5], 1e-12)
	if a, b := one.At(6e5, at), two.At(6e5, at); a.SD/a.Value <= b.SD/b.Value {
		t.Errorf("a curve is surer than a point: %v, %v", a, b)
	}
	// the same pump on 12 V brings a seventh to a fifth less (makers' pairs of curves, from memory)
	if r := one.At(3e5, quantity.Estimate{Value: 12, SD: 0.1}).Value / curve[3e5]; r > 0.87 || r < 0.79 {
		t.Errorf("on 12 V %g of the flow on 13.5 V", r)
	}
	rated12 := one
	rated12.Volts = 12
	if rated12.At(3e5, at).Value <= curve[3e5] {
		t.Error("rated on 12 V it brings more on 13.5")
	}
	// no pressure stated: 3 bar, with more doubt
	bare := Pump{Flow: one.Flow}
	if e := bare.At(3e5, at); e.Value != one.At(3e5, at).Value || e.SD <= one.At(3e5, at).SD {
		t.Errorf("without a pressure %v", e)
	}
	// measured in the car: surer, and whatever its volts
	own := one
	own.Measured = true
	if e := own.At(3e5, quantity.Estimate{Value: 12, SD: 1}); e.Value != curve[3e5] || e.SD > 0.03*e.Value {
		t.Errorf("measured %v", e)
	}
	// far beyond its curve a pump brings little, never less than nothing
	if e := one.At(40e5, at); !(e.Value > 0 && e.Value < 0.1*curve[3e5]) {
		t.Errorf("at 40 bar %v", e)
	}
	if (&Pump{}).At(3e5, at) != (quantity.Estimate{}) {
		t.Error("no pump brings nothing")
	}
}
