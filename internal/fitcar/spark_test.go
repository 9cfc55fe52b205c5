package fitcar_test

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// An engine whose ignition is late and falls with boost and heat answers more boost with
// little torque. With the ignition in the log the fit says so.
func TestAnswerToBoost(t *testing.T) {
	const degree = math.Pi / 180
	truth := simtest.Invented()
	truth.Engine.Spark = sim.Spark{Loss: 1.3, Best: 27 * degree, Angle: 17 * degree, BySpeed: 1.2 * degree / 104.7,
		ByPressure: -5 * degree / 1e5, ByHeat: -0.12 * degree}
	runs, err := fitcartest.RecordOf(truth, 2, 5, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	// gain is how torque at 6800 rpm grows, 1, for 30 kPa more than the highest that was run
	gain := func(c *sim.Car) float64 {
		e := &c.Engine
		at := func(p float64) float64 {
			return e.Torque(712, e.Charge(712, p, e.ChargeTemperature(295, sim.Head(100e3, p), 712), 0))
		}
		return at(365e3)/at(335e3) - 1
	}
	obs := fitcartest.Observations(runs)
	fit := func() *fitcar.Model {
		m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), obs, fitcar.Options{Members: 8})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	m := fit()
	want, got := gain(truth), gain(m.Mean.Car)
	for _, o := range obs {
		o.Spark = nil
	}
	blind := gain(fit().Mean.Car)
	t.Logf("torque for 30 kPa more: truth %+.4f, with the ignition %+.4f, without %+.4f", want, got, blind)
	if math.Abs(got-want) > 0.012 || math.Abs(got-want) > 0.6*math.Abs(blind-want) {
		t.Errorf("torque for 30 kPa more: %+.4f, truth %+.4f, without the ignition %+.4f", got, want, blind)
	}
	if s := m.Mean.Car.Engine.Spark; math.Abs(s.ByPressure*1e5/degree+5) > 1 || math.Abs(s.ByHeat/degree+0.12) > 0.06 {
		t.Errorf("map: %.2f° a bar, truth -5; %.3f° a kelvin, truth -0.12", s.ByPressure*1e5/degree, s.ByHeat/degree)
	}
}
