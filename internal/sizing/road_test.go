package sizing

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// TestStopping holds the way and the energy to published figures: 200 mph at 0.4, 0.5, 0.6 g
// without reaction 1018.9, 815.1, 679.3 m; 1600 kg at 200 mph 6.40 MJ (references/safety.md, A).
func TestStopping(t *testing.T) {
	v := 200 * 0.44704
	for g, want := range map[float64]float64{0.4: 1018.9, 0.5: 815.1, 0.6: 679.3} {
		near(t, "way", stoppingDistance(v, g*gravity), want, 0.06)
	}
	near(t, "energy", StoppingEnergy(1600, v, 5, 0, 0)/1e6, 6.40, 0.006)
	// With drag: the work of the brakes, added up in small steps.
	const mass, a, k, roll = 1600.0, 4.9, 0.4, 200.0
	sum, step := 0.0, 0.01
	for u := v; u > 0; u -= a * step {
		sum += math.Max(0, mass*a-k*u*u-roll) * u * step
	}
	near(t, "work of the brakes", StoppingEnergy(mass, v, a, k, roll)/sum, 1, 2e-3)
	if StoppingEnergy(1600, v, 0.1, 0.5, 100) != 0 {
		t.Error("brakes that do negative work")
	}
	q := full(t)
	r := mustSize(t, q)
	near(t, "way at 0.5 g with a second of reaction", r.Stop.Steps[1].Distance.Value, stoppingDistance(r.Tyres.Speed.Value/(1+usualSlip), 0.5*gravity)+r.Tyres.Speed.Value/(1+usualSlip), 20) // the reaction's own median moves a little
	q.Strip.ShutDown = 500
	if s := mustSize(t, q).Stop; s.TooShort == nil || *s.TooShort < 0.95 {
		t.Errorf("500 m stop it: %v", s.TooShort)
	}
}

func TestGearing(t *testing.T) {
	q := full(t)
	r := mustSize(t, q)
	for g := 1; g < len(q.Sheet.Gears); g++ {
		near(t, "rev drop", *r.Gearing.Gears[g].Drop, 1-q.Sheet.Gears[g]/q.Sheet.Gears[g-1], 1e-12)
		if a := r.Gearing.Gears[g].After; a != nil {
			near(t, "engine speed after", a.Value, q.Sheet.UsualShiftSpeed[g-1]*q.Sheet.Gears[g]/q.Sheet.Gears[g-1], 0.03*a.Value)
		}
	}
	// A gearbox that is weaker is passed more often.
	weak := full(t)
	weak.Sheet.Limits.GearboxTorque = []float64{300}
	if o := mustSize(t, weak).Gearing.Gears[3].Over; o == nil || *o < 0.99 {
		t.Errorf("a gearbox for 300 N·m holds: %v", o)
	}
}

// TestMoreIsMore: a faster target needs more of everything, a better informed sheet narrows.
func TestMoreIsMore(t *testing.T) {
	q := full(t)
	slow := mustSize(t, q)
	q.Target = slow.Target * 1.05
	fast := mustSize(t, q)
	for what, pair := range map[string][2]*Figure{
		"wheel power": {slow.Power.Wheel, fast.Power.Wheel}, "air": {slow.Engine.Air, fast.Engine.Air}, "boost": {slow.Engine.Boost, fast.Engine.Boost},
		"fuel": {slow.Fuel.Mass, fast.Fuel.Mass}, "way to stop": {slow.Stop.Distance, fast.Stop.Distance}, "line": {slow.Fuel.Bore, fast.Fuel.Bore},
	} {
		if pair[1].Value <= pair[0].Value {
			t.Errorf("%s: %g for the faster, %g for the slower", what, pair[1].Value, pair[0].Value)
		}
		if !(pair[0].Low <= pair[0].Value && pair[0].Value <= pair[0].High) {
			t.Errorf("%s: %+v", what, pair[0])
		}
	}
	q = full(t)
	q.Measured = &Measured{Efficiency: &quantity.Estimate{Value: 0.31, SD: 0.005}, Fill: &quantity.Estimate{Value: 0.95, SD: 0.01}}
	known := mustSize(t, q)
	if known.Engine.Boost.High-known.Engine.Boost.Low >= slow.Engine.Boost.High-slow.Engine.Boost.Low {
		t.Errorf("measured efficiency does not narrow the boost: %+v, %+v", known.Engine.Boost, slow.Engine.Boost)
	}
}

// TestOutOfReach: grip or gears that end before are told as that, not as a power.
func TestOutOfReach(t *testing.T) {
	q := full(t)
	q.Target = 118
	r := mustSize(t, q)
	if r.Power.OutOfReach < 0.5 || r.Power.Wheel != nil && !r.Power.Wheel.AtLeast {
		t.Errorf("%+v", r.Power)
	}
	q = full(t)
	q.Sheet.FinalDrive *= 1.6
	r = mustSize(t, q)
	if r.Power.OutOfReach < 0.9 || r.Power.OutOfGears < 0.9*r.Power.OutOfReach {
		t.Errorf("short gears: %+v", r.Power)
	}
	var b bytes.Buffer
	if err := r.WriteText(&b, quantity.Metric); err != nil || !strings.Contains(b.String(), "No power reaches this speed") {
		t.Errorf("%v\n%s", err, b.String())
	}
}
