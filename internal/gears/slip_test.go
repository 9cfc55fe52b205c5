package gears

import (
	"math"
	"testing"
)

// slippingFrom lets the clutch of a made run carry less than the engine gives from a gear
// on: engine speed flares to a share above the gear's and comes back as the car catches up.
func slippingFrom(x *run, gear int, share float64) {
	begun, g := -1, 0
	for i := range x.engine {
		if x.gear[i] != g {
			g, begun = x.gear[i], -1
			if g >= gear {
				begun = i
			}
		}
		if begun >= 0 {
			t := float64(i-begun) * 0.01
			x.engine[i] *= 1 + share*math.Min(1, t/0.15)*math.Exp(-t/2)
		}
	}
}

// TestSlippingClutch: a clutch that slips from third gear on makes no other gear of it, not
// even where engine speed meets the ratio of the gear below. The runs are invented.
func TestSlippingClutch(t *testing.T) {
	ratios := []float64{10.4, 7.3, 5.4, 4.2, 3.4}
	for _, share := range []float64{0.05, 0.12, 0.25, 0.4} {
		x := makeRun(ratios, func(float64) float64 { return 0 }, 5)
		slippingFrom(x, 3, share)
		spans, path := Find(x.problem(false))
		held := make([]int, len(path))
		for _, s := range spans {
			for i := s.First; i <= s.Last; i++ {
				held[i] = s.Gear
			}
		}
		if n := x.wrong(t, held); n > 0 {
			t.Errorf("share %.2f: %d samples in a wrong gear: %+v", share, n, spans)
		}
		for i, st := range path {
			if st != 0 && st != held[i] {
				t.Fatalf("share %.2f: sample %d closed in gear %d, held in %d", share, i, st, held[i])
			}
		}
	}
}

// TestSlipOnlyWhereItSlips: the chain that knows slip reads a clutch that holds as the
// plain one does.
func TestSlipOnlyWhereItSlips(t *testing.T) {
	x := makeRun([]float64{10.4, 7.3, 5.4, 4.2, 3.4}, func(float64) float64 { return 0 }, 6)
	p := x.problem(false)
	m := p.slipping(p.Spread)
	held, closed := p.withSlip(m.Path(), m.Posterior())
	if n := x.wrong(t, held) + x.wrong(t, closed); n > 0 {
		t.Errorf("%d samples in a wrong gear", n)
	}
	if p.slips(p.model(p.Spread).Path()) {
		t.Error("a clutch that holds is thought to slip")
	}
}

// TestRatioNeedsBothSpeeds: where the engine stands, the wheels hardly turn, or a speed is
// missing, there is no ratio.
func TestRatioNeedsBothSpeeds(t *testing.T) {
	nan := math.NaN()
	p := &Problem{Engine: []float64{600, 20, 600, nan, 600}, Wheel: []float64{60, 60, 1, 60, nan}}
	if x, ok := p.ratio(0); !ok || math.Abs(x-math.Log(10)) > 1e-12 {
		t.Errorf("ratio of 10: %v, %v", x, ok)
	}
	for _, i := range []int{-1, 1, 2, 3, 4} {
		if x, ok := p.ratio(i); ok {
			t.Errorf("sample %d has a ratio, %v", i, x)
		}
	}
}
