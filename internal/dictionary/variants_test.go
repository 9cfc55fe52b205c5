package dictionary_test

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
)

// TestVariantsDialects: how a log is written changes nothing.
func TestVariantsDialects(t *testing.T) {
	for _, o := range originals(t) {
		for _, d := range logfiletest.Dialects {
			if d.Units == "absent" || o.name[0] == 'a' || o.name[:3] == "b02" {
				continue
			}
			if d.Fill == "hold" && o.name[0] != 'c' && o.name[:3] != "b01" {
				continue // rates of held values have a test of their own
			}
			got := again(t, o.sample(), d)
			what := o.name + " as " + d.Name
			same(t, what, o.set, got, true)
			for i := range got.Channels {
				w, g := o.set.Channels[i].RateHz, got.Channels[i].RateHz
				if math.Abs(g/w-1) > 0.02 {
					t.Errorf("%s: %q has %.4g Hz, want %.4g", what, got.Channels[i].Name, g, w)
				}
			}
		}
	}
}

// TestVariantsHeld: blank cells filled with the last value give the same rates.
func TestVariantsHeld(t *testing.T) {
	right, all := 0, 0
	for _, o := range originals(t) {
		got := again(t, o.sample(), logfiletest.Dialect{Fill: "hold"})
		for i := range got.Channels {
			w, g := o.set.Channels[i].RateHz, got.Channels[i].RateHz
			all++
			if math.Abs(g/w-1) < 0.02 {
				right++
			} else {
				t.Logf("%s held: %q has %.4g Hz, want %.4g", o.name, got.Channels[i].Name, g, w)
			}
		}
	}
	t.Logf("%d of %d rates", right, all)
	if right < all*97/100 {
		t.Errorf("only %d of %d rates are found when values are held", right, all)
	}
}

// converted is a unit by which a column is printed instead.
var converted = map[string][2]string{
	"km/h": {"km/h", "mph"}, "mph": {"mph", "km/h"}, "kPa": {"kPa", "psi"}, "psi": {"psi", "bar"}, "bar": {"bar", "kPa"}, "bar(a)": {"bar", "kPa"}, "bar(g)": {"bar", "kPa"},
	"kPa abs": {"kPa", "bar"}, "C": {"°C", "°F"}, "°C": {"°C", "K"}, "F": {"°F", "°C"}, "inHg": {"inHg", "mbar"}, "g": {"g", "m/s2"}, "m/s^2": {"m/s2", "g"}, "ms2": {"m/s2", "g"},
	"AFR": {"AFR", "lambda"}, "λ": {"lambda", "AFR"}, "%": {"%", "0-1"}, "pct": {"%", "0-1"}, "L/min": {"L/min", "gal/h"}, "kgh": {"kg/h", "g/s"}, "kmh": {"km/h", "m/s"}, "kpa": {"kPa", "bar"}, "c": {"°C", "°F"}, "v": {"V", "mV"},
}

// TestVariantsUnits: other units, named.
func TestVariantsUnits(t *testing.T) {
	for _, o := range originals(t) {
		s := convert(o.sample(), func(u string) string { return u })
		same(t, o.name+" in other units", o.set, again(t, s, logfiletest.Dialect{}), true)
	}
}

// TestVariantsNoUnits: no unit is told, the file's own or another.
func TestVariantsNoUnits(t *testing.T) {
	for _, other := range []bool{false, true} {
		meaning, value, all := 0, 0, 0
		for _, o := range originals(t) {
			s := o.sample()
			what := o.name + " without units"
			if other {
				s = convert(s, func(string) string { return "" })
				what += ", converted"
			}
			got := again(t, s, logfiletest.Dialect{Units: "absent"})
			m, v, n := same(t, what, o.set, got, false)
			for i := range got.Channels {
				w, g := &o.set.Channels[i], &got.Channels[i]
				if w.Quantity != g.Quantity || math.Abs(meanOf(w)-meanOf(g)) > 0.02*math.Abs(meanOf(w))+1e-3*top(w) {
					t.Logf("%s: %q is %s in %q (%.2f), want %s in %q", what, g.Name, g.Quantity, g.Unit, g.Confidence, w.Quantity, w.Unit)
				}
			}
			meaning, value, all = meaning+m, value+v, all+n
		}
		t.Logf("converted %v: %d meanings and %d values of %d", other, meaning, value, all)
		if meaning < all*98/100 || value < all*96/100 {
			t.Errorf("converted %v: only %d meanings and %d values of %d without units", other, meaning, value, all)
		}
	}
}

// TestVariantsLies: units that lie, axes and signs turned, names that say nothing.
func TestVariantsLies(t *testing.T) {
	o := originals(t)[0]
	wheels := []string{"Wheel speed front left", "Wheel speed front right", "Wheel speed rear left", "Wheel speed rear right"}
	scale := func(f float64) func(*logfiletest.Column) {
		return func(c *logfiletest.Column) {
			v := make([]float64, len(c.Values))
			for i, x := range c.Values {
				v[i] = x * f
			}
			c.Values = v
		}
	}
	unit := func(u string) func(*logfiletest.Column) { return func(c *logfiletest.Column) { c.Unit = u } }
	rename := func(n string) func(*logfiletest.Column) { return func(c *logfiletest.Column) { c.Name = n } }
	for _, c := range []struct {
		name    string
		s       logfiletest.Sample
		channel string // by its name in the variant
		q       quantity.Name
		most    float64 // confidence at most
		least   float64 // confidence at least
	}{
		{"wheels say mph and are km/h", edit(o.sample(), unit("mph"), wheels...), wheels[0], quantity.WheelSpeedFL, 0.75, 0.4},
		{"wheels say km/h and are m/s", edit(o.sample(), scale(1/3.6), wheels...), wheels[2], quantity.WheelSpeedRL, 0.75, 0.4},
		{"accelerometer says g and is m/s²", edit(o.sample(), unit("g"), "Longitudinal accel"), "Longitudinal accel", quantity.AccelerationLong, 1, 0.4},
		{"accelerometer counts braking", edit(o.sample(), scale(-1), "Longitudinal accel"), "Longitudinal accel", quantity.AccelerationLong, 1, 0.8},
		{"engine speed in thousands", edit(edit(o.sample(), scale(1e-3), "Engine speed"), unit(""), "Engine speed"), "Engine speed", quantity.EngineSpeed, 0.95, 0.4},
		{"coolant says °C and is °F", edit(edit(o.sample(), scale(1.8), "Coolant temp"), func(c *logfiletest.Column) {
			for i := range c.Values {
				c.Values[i] += 32
			}
		}, "Coolant temp"), "Coolant temp", quantity.CoolantTemperature, 0.8, 0.25},
		{"manifold called Analog 7", edit(o.sample(), rename("Analog 7"), "Manifold pressure"), "Analog 7", quantity.ManifoldPressure, 0.5, 0.25},
		{"engine speed called CH1, no unit", edit(edit(o.sample(), unit(""), "Engine speed"), rename("CH1"), "Engine speed"), "CH1", quantity.EngineSpeed, 0.5, 0.25},
		{"manifold over the barometer, unit silent", edit(o.sample(), func(c *logfiletest.Column) {
			v := make([]float64, len(c.Values))
			for i, x := range c.Values {
				v[i] = x - o.set.Barometer/1000
			}
			c.Values = v
		}, "Manifold pressure"), "Manifold pressure", quantity.ManifoldPressure, 1, 0.6},
		{"oil pressure counted from vacuum", edit(edit(o.sample(), func(c *logfiletest.Column) {
			v := make([]float64, len(c.Values))
			for i, x := range c.Values {
				v[i] = x + o.set.Barometer/1000
			}
			c.Values = v
		}, "Oil pressure"), unit("kPa abs"), "Oil pressure"), "Oil pressure", quantity.OilPressure, 1, 0.6},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := again(t, c.s, logfiletest.Dialect{})
			var ch *dictionary.Channel
			var want *dictionary.Channel
			for i := range got.Channels {
				if got.Channels[i].Name == c.channel {
					ch, want = &got.Channels[i], &o.set.Channels[i]
				}
			}
			if ch.Quantity != c.q || ch.Confidence > c.most || ch.Confidence < c.least {
				t.Fatalf("%q is %s in %q (%.2f), want %s (%.2f to %.2f); notes %q", ch.Name, ch.Quantity, ch.Unit, ch.Confidence, c.q, c.least, c.most, got.Notes)
			}
			if a, b := meanOf(want), meanOf(ch); math.Abs(a-b) > 0.01*top(want) {
				t.Errorf("%q in %q has a mean of %.4g, want %.4g; notes %q", ch.Name, ch.Unit, b, a, got.Notes)
			}
		})
	}
	t.Run("axes swapped", func(t *testing.T) {
		s := edit(edit(edit(o.sample(), rename("x"), "Longitudinal accel"), rename("Longitudinal accel"), "Lateral accel"), rename("Lateral accel"), "x")
		got := again(t, s, logfiletest.Dialect{})
		for i := range got.Channels {
			if w, g := o.set.Channels[i].Quantity, got.Channels[i].Quantity; w != g {
				t.Errorf("%q is %s, want %s", got.Channels[i].Name, g, w)
			}
		}
	})
}

// TestVariantsWheelsByOrder: codes that nobody knows, in two orders.
func TestVariantsWheelsByOrder(t *testing.T) {
	o := originals(t)[0]
	wheels := []string{"Wheel speed front left", "Wheel speed front right", "Wheel speed rear left", "Wheel speed rear right"}
	want := []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR}
	for _, c := range []struct {
		stem  string
		codes [4]string
		order [4]int
	}{
		{"Speed ", [4]string{"KU", "MU", "KO", "MO"}, [4]int{0, 1, 2, 3}},
		{"wheel_", [4]string{"xq", "xj", "kq", "kj"}, [4]int{0, 2, 1, 3}},
		{"Wheel speed ", [4]string{"1", "2", "3", "4"}, [4]int{0, 1, 2, 3}},
	} {
		s := o.sample()
		at := map[string]int{}
		for i, col := range s.Columns {
			at[col.Name] = i
		}
		columns := append([]logfiletest.Column(nil), s.Columns...)
		for k, w := range c.order {
			columns[at[wheels[k]]] = s.Columns[at[wheels[w]]]
			columns[at[wheels[k]]].Name = c.stem + c.codes[w]
		}
		s.Columns = columns
		got := again(t, s, logfiletest.Dialect{})
		for k, w := range c.order {
			ch := &got.Channels[at[wheels[k]]]
			if ch.Quantity != want[w] || ch.Confidence > 0.75 || ch.Confidence < 0.5 {
				t.Errorf("%q is %s (%.2f), want %s; notes %q", ch.Name, ch.Quantity, ch.Confidence, want[w], got.Notes)
			}
		}
	}
}
