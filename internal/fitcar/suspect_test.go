package fitcar_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// weak is the invented car with a share of its torque.
func weak(share float64) *sim.Car {
	c := simtest.Invented()
	for i := range c.Engine.Gain {
		c.Engine.Gain[i] *= share
	}
	return c
}

// A pass on which the health screen found something and which was slow leaves the car as the
// sound passes show it; one that ran as they did counts in full, whatever was found.
func TestFindingBesideSound(t *testing.T) {
	target := simtest.InventedPass().Target
	runs, err := fitcartest.Record(3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	ill, err := fitcartest.RecordOf(weak(0.85), 3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	fit := func(last *fitcar.Observation) *fitcar.Model {
		obs := append(fitcartest.Observations(runs[:2]), last)
		m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), obs, fitcar.Options{Members: 1, Mended: true})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	// what the fitted car runs in the third pass's stead, m/s
	trap := func(m *fitcar.Model) float64 {
		c, _ := m.Replay(&m.Mean, 0)
		p := *runs[2].Pass
		p.TorqueScale = m.Mean.Scale
		res, err := (&sim.Runner{Car: c}).Run(&p)
		if err != nil {
			t.Fatal(err)
		}
		return res.Trap
	}
	truth := runs[2].Trap
	ill[2].Obs.Finding, ill[2].Obs.FoundFrom = "cylinder down", -5
	m := fit(ill[2].Obs)
	if off := trap(m)/truth - 1; math.Abs(off) > 0.004 {
		t.Errorf("after a pass of 15 %% less torque (%.2f m/s slower) the car is %.2f %% off", truth-ill[2].Trap, 100*off)
	}
	if w := m.Passes[2].Weight; w > 0.1 {
		t.Errorf("the pass with the finding counts %g", w)
	}
	if n := strings.Join(m.Notes, "\n"); !strings.Contains(n, "finds cylinder down") || !strings.Contains(n, "mended") {
		t.Errorf("notes: %s", n)
	}
	// on the limiter at the line the trap alone tells little
	limited, err := fitcartest.RecordOf(weak(0.93), 3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	limited[2].Obs.Finding = "ignition"
	if w := fit(limited[2].Obs).Passes[2].Weight; w > 0.1 {
		t.Errorf("a pass of 7 %% less torque, %.2f m/s slower, counts %g", truth-limited[2].Trap, w)
	}
	runs[2].Obs.Finding = "cylinder down"
	m = fit(runs[2].Obs)
	if w := m.Passes[2].Weight; w != 1 {
		t.Errorf("a pass that ran as the others did counts %g for a finding", w)
	}
	if n := strings.Join(m.Notes, "\n"); !strings.Contains(n, "counted in full") {
		t.Errorf("notes: %s", n)
	}
	if off := trap(m)/truth - 1; math.Abs(off) > 0.003 {
		t.Errorf("with all three the car is %.2f %% off", 100*off)
	}
}

// Of a lone pass with a finding what lies before it teaches.
func TestFindingAlone(t *testing.T) {
	runs, err := fitcartest.Record(1, 5, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	o := runs[0].Obs
	const from = 9.0
	for i := range o.X { // a tenth of what it had is gone from there on, and the boost with it
		if o.T0+float64(i)*o.Step > from {
			o.A[i] -= 1
			o.Boost[i] -= 40e3
		}
	}
	o.Finding, o.FoundFrom = "boost leak", from+0.2
	fit := func(mended bool) *fitcar.Model {
		m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), []*fitcar.Observation{o}, fitcar.Options{Members: 1, Mended: mended})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	run := func(m *fitcar.Model) float64 {
		c, _ := m.Replay(&m.Mean, 0)
		p := *runs[0].Pass
		p.TorqueScale = m.Mean.Scale
		res, err := (&sim.Runner{Car: c}).Run(&p)
		if err != nil {
			t.Fatal(err)
		}
		return res.Trap
	}
	whole, before := run(fit(false)), run(fit(true))
	if off := before/runs[0].Trap - 1; math.Abs(off) > 0.01 {
		t.Errorf("from what lies before the finding the car is %.2f %% off, from all of it %.2f %%", 100*off, 100*(whole/runs[0].Trap-1))
	}
	if math.Abs(whole/runs[0].Trap-1) < 0.012 {
		t.Error("the finding does not show in the whole pass: nothing is tested")
	}
	if n := strings.Join(fit(true).Notes, "\n"); !strings.Contains(n, "only what lies before teaches") {
		t.Errorf("notes: %s", n)
	}
}

// Where all passes have a finding, as on a car that always exceeds some limit, those that are
// slower than the others are the ill ones.
func TestFindingOnAll(t *testing.T) {
	target := simtest.InventedPass().Target
	runs, err := fitcartest.Record(2, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	ill, err := fitcartest.RecordOf(weak(0.85), 3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	obs := append(fitcartest.Observations(runs), ill[2].Obs)
	for _, o := range obs {
		o.Finding = "turbo overspeed"
	}
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), obs, fitcar.Options{Members: 1, Mended: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []bool{true, true, false} {
		if w := m.Passes[i].Weight; (w == 1) != want {
			t.Errorf("pass %d counts %g", i+1, w)
		}
	}
}

// A pass that was given up is judged by how it pulled as far as it went.
func TestFindingGivenUp(t *testing.T) {
	target := simtest.InventedPass().Target
	sound, err := fitcartest.Record(3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	ill, err := fitcartest.RecordOf(weak(0.9), 3, 5, target)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		last *fitcar.Observation
		want bool
	}{{sound[2].Obs, true}, {ill[2].Obs, false}} {
		o := c.last
		n := 2 * len(o.X) / 3
		end := o.T0 + float64(n)*o.Step
		o.X, o.V, o.A, o.Engine, o.Wheel, o.Boost, o.Gear, o.Full = o.X[:n], o.V[:n], o.A[:n], o.Engine[:n], o.Wheel[:n], o.Boost[:n], o.Gear[:n], o.Full[:n]
		o.Shifts = slices.DeleteFunc(o.Shifts, func(s fitcar.ShiftSeen) bool { return s.End > end })
		o.Trap, o.Finish, o.Complete, o.Finding = math.NaN(), math.NaN(), false, "ignition"
		m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), append(fitcartest.Observations(sound[:2]), o), fitcar.Options{Members: 1, Mended: true})
		if err != nil {
			t.Fatal(err)
		}
		if w := m.Passes[2].Weight; (w == 1) != c.want {
			t.Errorf("counts %g, sound %v", w, c.want)
		}
	}
}
