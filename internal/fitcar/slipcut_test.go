package fitcar

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// Electronics that begin at 9 % slip and have cut half at 14 %, on a tyre whose peak the
// fit puts at 12 %: learnt from what they did, and left at practice where they did nothing.
func TestLearnCut(t *testing.T) {
	c := &sim.Car{Tyre: sim.Tyre{PeakSlip: 0.12}, Ratios: make([]float64, 4)}
	o := &Observation{Step: gridStep}
	w := &work{Observation: o, weight: 1}
	for g, s := range []float64{0.13, 0.12, 0.11, 0.10} {
		for range 20 {
			u := (s - 0.09) / 0.05
			o.X, o.Full, o.Gear = append(o.X, float64(len(o.X))), append(o.Full, true), append(o.Gear, g+1)
			o.Cut, w.slip = append(o.Cut, u*u/(1+u*u)), append(w.slip, s)
		}
	}
	learnCut(c, []*work{w, w, w, w})
	if math.Abs(c.SlipCut-0.09) > 0.008 || math.Abs(c.SlipCutWidth-0.05) > 0.01 {
		t.Errorf("cuts from %.3f with width %.3f, want 0.090 and 0.050", c.SlipCut, c.SlipCutWidth)
	}
	for i := range o.Cut {
		o.Cut[i] = 0
	}
	learnCut(c, []*work{w, w, w, w})
	if math.Abs(c.SlipCut-cutAim*0.12) > 1e-9 || math.Abs(c.SlipCutWidth-cutWidth*0.12) > 1e-9 {
		t.Errorf("without a cut: from %.3f with width %.3f, want practice", c.SlipCut, c.SlipCutWidth)
	}
}
