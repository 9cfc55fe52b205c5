package demo

import (
	"math"
	"testing"
)

// A car that rests after its pass stands and idles at its own speed, and each fault of
// Resting moves there, when gross, the reading by which it is known.
func TestRestingFaultsShowAtIdle(t *testing.T) {
	by := map[string]string{"gas stays": "coolant_pressure", "worn bearing": "oil_pressure", "manifold leak": "rpm", "slack belt": "battery_voltage"}
	c := Cars()[1]
	o := calm()
	o.Driver.IdleBefore, o.Driver.IdleAfter = 20, 30
	run := func(f *Fault) *teller {
		o := o
		o.Fault = f
		return newTeller(c.plan(o, 8).simulate(), c, logClock{stepAt: math.NaN()}, 0)
	}
	healthy := run(nil)
	last := healthy.ss[len(healthy.ss)-1]
	if math.Abs(last.v) > 0.05 || math.Abs(float64(last.wE)/c.p.idle-1) > 0.15 {
		t.Errorf("at the end %.2f m/s and %.0f rad/s, idle is %.0f", last.v, last.wE, c.p.idle)
	}
	if d := healthy.atRest(run(nil)); len(d["after"].(js)) > 0 {
		t.Errorf("the same car differs from itself: %v", d)
	}
	for mode := range Resting() {
		f, ok := c.MakeResting(mode, Gross, 3)
		if !ok {
			t.Fatalf("no fault %q", mode)
		}
		after := run(&f).atRest(healthy)["after"].(js)
		if _, ok := after[by[mode]]; !ok {
			t.Errorf("%s does not show in %s after the pass: %v", mode, by[mode], after)
		}
	}
}
