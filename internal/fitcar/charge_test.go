package fitcar

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// What a lagging sensor shows of a charge that gets hotter at one boost, as behind a cooler with
// water, or hotter a while after boost, as behind one in the wind, or hotter the faster the
// engine, tells the charge itself.
func TestCoreLearnt(t *testing.T) {
	for name, own := range map[string]sim.Engine{"water": {Core: sim.Core{Take: 0.008, Shed: 0.02, Felt: 1}}, "wind": {Core: sim.Core{Take: 0.035, Shed: 0.2, Felt: 1}},
		"none": {}, "flow": {ChargeFlow: 1.2, Core: sim.Core{Take: 0.008, Shed: 0.02, Felt: 1}}} {
		own.ChargeRise, own.ChargeBase = 0.2, 12
		o := &Observation{Step: gridStep}
		w := &work{Observation: o, air: sim.Air{Temperature: 295, Pressure: 100e3}, weight: 1}
		for i := range 800 {
			s := float64(i) * o.Step
			in := math.Mod(s, 3.2) // s in a gear
			boost := min(120e3*in, 80e3+35e3*math.Floor(s/3.2))
			o.X, o.V = append(o.X, 0), append(o.V, 85*(1-math.Exp(-s/9)))
			o.Engine, w.head = append(o.Engine, 560+60*in), append(w.head, sim.Head(100e3, 100e3+boost))
		}
		inside := make([]float64, len(o.X))
		state := 307.0
		w.alongCharge(&own, func(i int, t, _ float64) bool {
			inside[i] = t
			state += (t - state) * o.Step / 0.9
			o.Charge = append(o.Charge, state+1.5)
			return true
		})
		c := &sim.Car{}
		fitCharge(c, []*work{w}, nil)
		off, most := 0.0, 0.0
		w.alongCharge(&c.Engine, func(i int, t, core float64) bool {
			off, most = off+square(t-1.5-inside[i]), max(most, core)
			return true
		})
		off = math.Sqrt(off / float64(len(o.X)))
		t.Logf("%s: charge %.1f K off; core's part up to %.0f K; rates %.4f and %.4f 1/s; by engine speed %.2f", name, off, most, c.Engine.Core.Take, c.Engine.Core.Shed, c.Engine.ChargeFlow)
		if off > 2 {
			t.Errorf("%s: the charge is %.1f K off", name, off)
		}
	}
}
