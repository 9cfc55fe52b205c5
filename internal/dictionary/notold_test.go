package dictionary

import (
	"math"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// shop is a log of 20 s: at rest, idling, then pulling.
func shop(columns ...logfile.Column) *logfile.Log {
	l := &logfile.Log{File: "x.csv"}
	for i := range 2000 {
		l.RowTime = append(l.RowTime, float64(i)/100)
	}
	l.Clock = trace.Clock{}
	l.Columns = columns
	return l
}

// course runs from low, in the first half, to high, with noise.
func course(low, high, noise float64) []float64 {
	v := make([]float64, 2000)
	for i := range v {
		v[i] = low + (high-low)*min(1, max(0, float64(i-800)/1000)) + noise*math.Sin(float64(i*i))
	}
	return v
}

// TestUnitsNotTold reads columns whose unit nobody tells by what a pass is like.
func TestUnitsNotTold(t *testing.T) {
	l := shop(
		logfile.Column{Name: "Exhaust temp", Values: course(310, 930, 5)},
		logfile.Column{Name: "Coolant temp", Values: course(78, 87, 0.1)},
		logfile.Column{Name: "Oil temp", Values: course(86, 93, 0.1)},
		logfile.Column{Name: "Manifold pressure", Values: course(-12.7, 35.3, 0.1)},
		logfile.Column{Name: "Turbine inlet pressure", Values: course(13.5, 54, 0.5)},
		logfile.Column{Name: "Water pressure", Values: course(7.4, 17.6, 0.1)},
		logfile.Column{Name: "Oil pressure", Values: course(20, 77, 0.5)},
		logfile.Column{Name: "Crankcase pressure", Values: course(-0.01, 0.6, 0.002)},
		logfile.Column{Name: "Brake", Values: course(1, 0, 0)},
		logfile.Column{Name: "Clutch pedal", Values: course(0.97, 0.01, 0.002)},
	)
	set := identified(t, l)
	for i, want := range []struct {
		q    quantity.Name
		last float64 // SI
	}{
		{quantity.ExhaustTemperature, 1203}, {quantity.CoolantTemperature, 360}, {quantity.OilTemperature, 366},
		{quantity.ManifoldPressure, 344.7e3}, {quantity.ExhaustPressure, 372e3}, {quantity.CoolantPressure, 121e3}, {quantity.OilPressure, 531e3},
		{quantity.CrankcasePressure, 4.1e3}, {quantity.Brake, 0}, {quantity.Clutch, 0.01},
	} {
		c := &set.Channels[i]
		if got := c.Trace.V[c.Trace.Len()-1]; c.Quantity != want.q || math.Abs(got-want.last) > 0.02*want.last+0.02 {
			t.Errorf("%q is %s, ends at %.5g (%s), want %s, %.5g", c.Name, c.Quantity, got, c.Unit, want.q, want.last)
		}
	}
}

// TestNoGears holds that what runs through all that lies between is no gear.
func TestNoGears(t *testing.T) {
	set := identified(t, shop(logfile.Column{Name: "Gear ratio", Values: course(12, 4, 0.2)}, logfile.Column{Name: "Gear", Values: course(1, 1, 0)}))
	if q := set.Channels[0].Quantity; q == quantity.Gear {
		t.Errorf("a ratio is taken for %s", q)
	}
	if q := set.Channels[1].Quantity; q != quantity.Gear {
		t.Errorf("the gear is %q", q)
	}
}

// TestWheelsThatSpinShareTheUnit gives driven wheels that spin the unit in which those
// beside them go as fast as the receiver.
func TestWheelsThatSpinShareTheUnit(t *testing.T) {
	v := course(0, 280, 0)
	spun := make([]float64, len(v))
	for i := range v {
		spun[i] = v[i] * (1 + 0.04*(1.2+math.Sin(float64(i)/40))) * (1 + 0.5*max(0, 1-v[i]/150))
	}
	set := identified(t, shop(
		logfile.Column{Name: "GPS speed", Unit: "km/h", Values: v},
		logfile.Column{Name: "Wheel speed front left", Unit: "mph", Values: v},
		logfile.Column{Name: "Wheel speed rear left", Unit: "mph", Values: spun},
	))
	for i := 1; i < 3; i++ {
		if c := &set.Channels[i]; c.Unit != "km/h" {
			t.Errorf("%q is read in %s", c.Name, c.Unit)
		}
	}
}

// TestSpeedByAcceleration finds the unit of a speed that nobody tells, and which of two
// speeds lies, from the accelerometer.
func TestSpeedByAcceleration(t *testing.T) {
	v := course(0, 75, 0) // m/s
	a := make([]float64, len(v))
	for i := 50; i < len(v)-50; i++ {
		a[i] = (v[i+50] - v[i-50]) / 9.81
	}
	in := func(perMPS float64) []float64 {
		out := make([]float64, len(v))
		for i := range v {
			out[i] = v[i] * perMPS
		}
		return out
	}
	accel := logfile.Column{Name: "Accel long", Unit: "g", Values: a}
	for unit, per := range map[string]float64{"km/h": 3.6, "mph": 1 / 0.44704, "m/s": 1} {
		set := identified(t, shop(accel, logfile.Column{Name: "Wheel speed front left", Values: in(per)}))
		if c := &set.Channels[1]; c.Unit != unit {
			t.Errorf("%s is read in %s", unit, c.Unit)
		}
	}
	set := identified(t, shop(accel,
		logfile.Column{Name: "GPS speed", Unit: "km/h", Values: in(1 / 0.44704)},
		logfile.Column{Name: "Wheel speed front left", Unit: "km/h", Values: in(3.6)},
		logfile.Column{Name: "Wheel speed front right", Unit: "km/h", Values: in(3.6)},
	))
	for i, want := range []string{"m/s²", "mph", "km/h", "km/h"} {
		if c := &set.Channels[i]; i > 0 && c.Unit != want {
			t.Errorf("%q is read in %s, want %s", c.Name, c.Unit, want)
		}
	}
}

// TestQuantilesOfReadings: readings that stand in even rows for most of a log and in odd ones
// in its pass are all looked at.
func TestQuantilesOfReadings(t *testing.T) {
	v := make([]float64, 16000)
	for i := range v {
		v[i] = math.NaN()
		if pass := i > 4000 && i < 8000; pass && i%2 == 1 {
			v[i] = 50
		} else if !pass && i%2 == 0 {
			v[i] = 0.3 + 0.1*float64(i%3)
		}
	}
	if b := look(v); b.q99 != 50 {
		t.Errorf("99 %% of the readings lie below %.3g", b.q99)
	}
}
