package demo

import (
	"math"
	"testing"
)

func TestEveryFaultShows(t *testing.T) {
	// A gross fault must change what sensors can see.
	car := map[Kind]string{NitrousFault: "marl"}
	healthy := map[string]*teller{} // the pass without a fault, by car: the same beside every kind
	for _, kind := range Kinds() {
		id := "chert"
		if car[kind] != "" {
			id = car[kind]
		}
		var c Car
		for _, x := range Cars() {
			if x.ID == id {
				c = x
			}
		}
		{
			f, ok := c.MakeFault(kind, Gross, 77)
			if !ok {
				t.Fatalf("%s cannot have %s", id, kind)
			}
			f.Always, f.After = false, 3
			o := calm()
			o.Fault = &f
			u := c.Usual()
			u.Nitrous = true
			o.Settings = &u
			p := c.plan(o, 8)
			a := newTeller(p.simulate(), c, logClock{stepAt: math.NaN()}, 0)
			o.Fault = nil
			if healthy[id] == nil {
				healthy[id] = newTeller(c.plan(o, 8).simulate(), c, logClock{stepAt: math.NaN()}, 0)
			}
			tr := a.faultTruth(healthy[id], c.rig("full", 1, p.air))
			if kind == SensorFault {
				if f.Channel == "" || f.Mode == "" {
					t.Errorf("sensor fault without channel or mode: %+v", f)
				}
				continue
			}
			obs := float64(tr["t_observable"].(num))
			if len(tr["effects"].(js)) == 0 || math.IsNaN(obs) {
				t.Errorf("gross %s shows nowhere", kind)
			}
			if obs < float64(tr["t_start"].(num)) {
				t.Errorf("%s is seen before it begins", kind)
			}
		}
	}
}

func TestFaultyPassIsHealthyBefore(t *testing.T) {
	// Until the fault begins, the pass is the same to the last digit.
	c := Cars()[1]
	f, _ := c.MakeFault(BoostLeak, Gross, 1)
	f.Always, f.After = false, 6
	o := calm()
	o.Fault = &f
	a := c.plan(o, 3).simulate()
	o.Fault = nil
	b := c.plan(o, 3).simulate()
	for i := range a.out.samples {
		x, y := a.out.samples[i], b.out.samples[i]
		if x.t >= a.drv.tRelease+6 {
			return
		}
		if x.x != y.x || x.pM != y.pM || x.hub != y.hub {
			t.Fatalf("differs at %.3f s, %.3f s after the clutch", x.t, x.t-a.drv.tRelease)
		}
	}
}
