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

// Electronics hold the slip past the peak in all gears but the last, and no log says so: the
// torque that they leave there is not the engine's, whose own at that boost is found from the
// rest, and how much they cut with it.
func TestUnseenCut(t *testing.T) {
	c := &sim.Car{Tyre: sim.Tyre{PeakSlip: 0.12}, Ratios: make([]float64, 3), RevLimit: 900}
	c.Engine.ChargeRise, c.Engine.ChargeBase = 0.35, 10
	o := &Observation{Step: gridStep, Good: true, Air: sim.Air{Pressure: 101325, Temperature: 293}}
	w := &work{Observation: o, weight: 1, air: o.Air}
	for g := 1; g <= 3; g++ {
		for i := range 200 {
			speed := 500 + 1.5*float64(i)
			p := 140e3 + 60e3*float64(g-1)
			head := sim.Head(o.Air.Pressure, p)
			full := 4.5e-3*p*sim.RefCharge/c.Engine.ChargeTemperature(o.Air.Temperature, head, speed) - friction(0.0032, speed)
			slip, left := 0.07, 1.0
			if g < 3 {
				slip, left = 0.19, 0.85
			}
			o.X, o.V, o.Full, o.Gear, o.Engine = append(o.X, float64(len(o.X))), append(o.V, 40), append(o.Full, true), append(o.Gear, g), append(o.Engine, speed)
			w.slip, w.torque, w.head = append(w.slip, slip), append(w.torque, left*full), append(w.head, head)
		}
	}
	ws := []*work{w}
	unseenCut(ws)
	if w.onset <= 0.07 || w.onset >= 0.19 {
		t.Fatalf("electronics are taken to begin at %.3f", w.onset)
	}
	if _, ok := fitEngine(c, ws, 0.0032, nil); !ok {
		t.Fatal("no fit")
	}
	for _, i := range []int{100, 300} {
		if cut := w.cutAt(c, i); math.Abs(cut-0.15) > 0.05 { // what boost brings is known to some 5 % over such a step
			t.Errorf("gear %d: cut %.3f, it is 0.15", o.Gear[i], cut)
		}
	}
	o.Cut = make([]float64, len(o.X))
	if w.onset = 0; w.cut(100) {
		t.Error("the log says that nothing was cut")
	}
}
