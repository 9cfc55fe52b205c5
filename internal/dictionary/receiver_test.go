package dictionary

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// TestUnitIsTheName: names that hold nothing but whose reading it is and its unit, as small
// loggers write them. Read in km/h for want of a unit, a pass in mph was a third too slow.
func TestUnitIsTheName(t *testing.T) {
	l, _ := aPull()
	speed := l.Columns[1].Values // km/h
	for name, want := range map[string]string{"GPS MPH": "mph", "gps mph": "mph", "MPH": "mph", "gpsmph": "mph", "Wheel MPH": "mph", "GPS KPH": "km/h", "gps_kmh": "km/h"} {
		l, _ := aPull()
		l.Columns[1] = logfile.Column{Name: name, Values: speed}
		c := identified(t, l).Channels[1]
		if !isSpeed(c.Quantity) || c.Unit != want {
			t.Errorf("%q is %q in %q, want a speed in %s", name, c.Quantity, c.Unit, want)
		}
	}
	warm := make([]float64, len(speed))
	for i := range warm {
		warm[i] = 170 + 20*float64(i)/float64(len(warm))
	}
	for name, want := range map[string]quantity.Name{"Coolant F": quantity.CoolantTemperature, "Oil F": quantity.OilTemperature} {
		l, _ := aPull()
		l.Columns = append(l.Columns, logfile.Column{Name: name, Values: warm})
		c := identified(t, l).Channels[len(l.Columns)-1]
		if c.Quantity != want || c.Unit != "°F" {
			t.Errorf("%q is %q in %q, want %q in °F", name, c.Quantity, c.Unit, want)
		}
	}
	// The letter behind a thing with several sensors may be the sensor's.
	l.Columns = append(l.Columns, logfile.Column{Name: "EGT C", Unit: "°C", Values: warm})
	if c := identified(t, l).Channels[len(l.Columns)-1]; c.Quantity != quantity.ExhaustTemperature || c.Index != 3 {
		t.Errorf("EGT C is %s[%d], want exhaust_temperature[3]", c.Quantity, c.Index)
	}
}

// TestReceiverAlone: a receiver's own file, whose speed is called nothing but speed, is no
// speed of driven wheels; beside the car's own channels such a speed stays what it was.
func TestReceiverAlone(t *testing.T) {
	full, _ := aPull()
	n := len(full.RowTime)
	lat, lon := make([]float64, n), make([]float64, n)
	for i, way := 0, 0.0; i < n; i++ {
		lat[i], lon[i] = 48+way/111195, 11
		if i+1 < n {
			way += full.Columns[1].Values[i] / 3.6 * (full.RowTime[i+1] - full.RowTime[i])
		}
	}
	knots := make([]float64, n)
	for i, v := range full.Columns[1].Values {
		knots[i] = v / 1.852
	}
	place := []logfile.Column{{Name: "lat", Values: lat}, {Name: "lon", Values: lon}}
	for _, c := range []struct {
		speed logfile.Column
		alone bool
		want  quantity.Name
	}{
		{logfile.Column{Name: "speed", Unit: "km/h", Values: full.Columns[1].Values}, true, quantity.GPSSpeed},
		{logfile.Column{Name: "speed", Unit: "km/h", Values: full.Columns[1].Values}, false, quantity.VehicleSpeed},
		{logfile.Column{Name: "speed", Unit: "kts", Values: knots}, false, quantity.GPSSpeed},
	} {
		l, _ := aPull()
		l.Columns = append([]logfile.Column{c.speed}, place...)
		if !c.alone {
			l.Columns = append(l.Columns, full.Columns[0])
		}
		set := identified(t, l)
		if got := set.Channels[0].Quantity; got != c.want {
			t.Errorf("speed in %s, alone %v: %q, want %q", c.speed.Unit, c.alone, got, c.want)
		}
		told := slices.ContainsFunc(set.Notes, func(n string) bool { return strings.Contains(n, "taken for the satellite speed") })
		if told != (c.want == quantity.GPSSpeed) {
			t.Errorf("speed in %s, alone %v: told %v", c.speed.Unit, c.alone, told)
		}
		if top := slices.Max(set.Channels[0].Trace.V); math.Abs(top-slices.Max(full.Columns[1].Values)/3.6) > 0.01 {
			t.Errorf("%s: top %.2f m/s", c.speed.Unit, top)
		}
	}
}
