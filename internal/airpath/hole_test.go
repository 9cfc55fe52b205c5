package airpath

import (
	"math"
	"testing"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// shiftWithHole is the shift at 1.00 to 1.05 s of a boost of 200 kPa that falls to 100 kPa, is
// up again at 1.50 s and there stays, with no readings between two moments, s.
func shiftWithHole(from, to float64) *pass.Shift {
	b := &boost{baro: quantity.Estimate{Value: 100e3}, noise: 1e4, step: 0.01}
	for i := range 600 {
		t := 0.01 * float64(i)
		v := 200e3
		if t > 1 && t < 1.5 {
			v = 100e3 + 100e3*max(0, t-1.1)/0.4
		}
		if t < from || t > to {
			b.gauge.T, b.gauge.V = append(b.gauge.T, t), append(b.gauge.V, v)
		}
	}
	p := &pass.Pass{Shifts: []pass.Shift{{From: 1, To: 2, Start: quantity.Estimate{Value: 1}, End: quantity.Estimate{Value: 1.05, SD: 0.002}}},
		Gears: []pass.GearSpan{{Gear: 2, Start: 1.05, End: 5.9}}}
	b.shift(p, 0, begin{Estimate: quantity.Estimate{Value: 1, SD: 0.002}}, &targets{})
	return &p.Shifts[0]
}

// TestRecoveryAcrossAHole: a recovery whose crossing nobody read has a spread that covers the
// hole, or is absent; one that was read stands.
func TestRecoveryAcrossAHole(t *testing.T) {
	const truth = 0.41 // 190 kPa at 1.46 s
	whole := shiftWithHole(9, 9).Recovery
	if whole == nil || math.Abs(whole.Value-truth) > 0.012 || whole.SD > 0.02 {
		t.Fatalf("without a hole: %v, want %.2f s", whole, truth)
	}
	if r := shiftWithHole(2, 3.2).Recovery; r == nil || *r != *whole {
		t.Errorf("a hole behind it changes %v to %v", whole, r)
	}
	for _, c := range []struct{ from, to float64 }{{1.35, 1.7}, {0.98, 1.4}} {
		if r := shiftWithHole(c.from, c.to).Recovery; r == nil || math.Abs(r.Value-truth) > 1.645*r.SD+0.02 {
			t.Errorf("a hole from %.2f to %.2f s: %v, want %.2f s inside", c.from, c.to, r, truth)
		}
	}
	for _, c := range []struct{ from, to float64 }{{0.98, 2.2}, {1.3, 2.2}, {0.2, 1.02}} {
		if s := shiftWithHole(c.from, c.to); s.Recovery != nil {
			t.Errorf("a hole from %.2f to %.2f s: %v, want none", c.from, c.to, s.Recovery)
		}
	}
}
