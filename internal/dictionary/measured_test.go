package dictionary_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

// measured reads a file of the measured data, whose notes (SOURCE.md) hold what
// these tests expect.
func measured(t *testing.T, parts ...string) (*logfile.Log, *dictionary.Set) {
	t.Helper()
	log, err := logfile.Open(reftest.Path(t, append([]string{"data"}, parts...)...))
	if err != nil {
		t.Fatal(err)
	}
	set, err := dictionary.Identify(log, dictionary.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return log, set
}

func named(t *testing.T, set *dictionary.Set, name string) *dictionary.Channel {
	t.Helper()
	for i := range set.Channels {
		if set.Channels[i].Name == name {
			return &set.Channels[i]
		}
	}
	t.Fatalf("no channel %q", name)
	return nil
}

// TestTurnByTurn: a diagnostic port is asked for one channel at a time; column c
// is fresh in rows whose number is c−1 modulo ten.
func TestTurnByTurn(t *testing.T) {
	for _, f := range []struct {
		name string
		rows int
		rate float64 // Hz
	}{{"accelerations-2018-02-23.csv", 10176, 1.18}, {"full-braking-2017-08-07.csv", 39110, 0.833}} {
		log, set := measured(t, "turbo-diesel-obd", f.name)
		if len(log.RowTime) != f.rows {
			t.Errorf("%s: %d rows, want %d", f.name, len(log.RowTime), f.rows)
		}
		for i, q := range []quantity.Name{quantity.CoolantTemperature, quantity.ManifoldPressure, quantity.EngineSpeed, quantity.VehicleSpeed, quantity.IntakeTemperature,
			quantity.AirFlow, quantity.Throttle, quantity.AmbientTemperature, quantity.Pedal, quantity.Pedal} {
			c := &set.Channels[i]
			if c.Quantity != q || math.Abs(c.RateHz/f.rate-1) > 0.02 {
				t.Errorf("%s: %q is %s at %.3f Hz, want %s at %.3f", f.name, c.Name, c.Quantity, c.RateHz, q, f.rate)
			}
			if q == quantity.AmbientTemperature && f.rows < 20000 {
				continue // changes four times in that file
			}
			off := 0
			for _, x := range c.Trace.T {
				if row, ok := slices.BinarySearch(log.RowTime, x); !ok || row%10 != i {
					off++
				}
			}
			if off > c.Trace.Len()/100 {
				t.Errorf("%s: %d of %d readings of %q do not lie in its rows", f.name, off, c.Trace.Len(), c.Name)
			}
		}
	}
}

// TestHeldWithoutRhythm: values filled forward are not taken for readings.
func TestHeldWithoutRhythm(t *testing.T) {
	for _, f := range []struct {
		name     string
		rows     int
		bus, gps int // new values
	}{{"T3_04_22_2021_1.csv", 1049, 347, 40}, {"T3_05_25_2021_04.csv", 2517, 927, 96}, {"T3_05_31_2021.csv", 1122, 244, 45}} {
		log, set := measured(t, "ev-can-vs-gps", f.name)
		if len(log.RowTime) != f.rows {
			t.Errorf("%s: %d rows, want %d", f.name, len(log.RowTime), f.rows)
		}
		for name, fresh := range map[string]int{"Speed": f.bus, "GpsSpeed": f.gps} {
			c := named(t, set, name)
			changes := 0
			for i, v := range c.Trace.V {
				if i > 0 && v != c.Trace.V[i-1] {
					changes++
				}
			}
			// Standstill is kept row by row; everything else only when new.
			if math.Abs(float64(changes-fresh)) > 1 || len(c.Problems) == 0 || !strings.Contains(c.Problems[0], "held") {
				t.Errorf("%s: %q has %d new values, want %d; %q", f.name, name, changes, fresh, c.Problems)
			}
			if limit := 1.3 * float64(fresh) / float64(f.rows); c.RateHz > limit {
				t.Errorf("%s: %q at %.3f Hz, want at most %.3f", f.name, name, c.RateHz, limit)
			}
		}
	}
}

func TestWheelsAndSatellite(t *testing.T) {
	log, set := measured(t, "highway-wheel-speeds", "wheel_speeds.csv")
	for name, q := range map[string]quantity.Name{"car_speed": quantity.VehicleSpeed, "wheel_fl": quantity.WheelSpeedFL, "wheel_fr": quantity.WheelSpeedFR,
		"wheel_rl": quantity.WheelSpeedRL, "wheel_rr": quantity.WheelSpeedRR} {
		if c := named(t, set, name); c.Quantity != q || c.Unit != "m/s" || c.Confidence < 0.8 {
			t.Errorf("%q is %s in %q (%.2f)", name, c.Quantity, c.Unit, c.Confidence)
		}
	}
	// By the car's own speed the way is 1003.8 m.
	v := named(t, set, "car_speed").Trace
	way := 0.0
	for i := 1; i < v.Len(); i++ {
		way += (v.V[i] + v.V[i-1]) / 2 * (v.T[i] - v.T[i-1])
	}
	if math.Abs(way-1003.8) > 0.1 || len(log.RowTime) != 4974 {
		t.Errorf("%.2f m in %d rows, want 1003.8 m in 4974", way, len(log.RowTime))
	}
	_, set = measured(t, "highway-wheel-speeds", "imu.csv")
	if a := named(t, set, "acc_forward"); a.Quantity != quantity.AccelerationLong || math.Abs(a.RateHz-104.4) > 0.5 {
		t.Errorf("%q is %s at %.2f Hz", a.Name, a.Quantity, a.RateHz)
	}
	if a := named(t, set, "acc_down"); a.Quantity != quantity.Unknown {
		t.Errorf("gravity is taken for %s", a.Quantity)
	}
}

func TestManyVehicles(t *testing.T) {
	log, set := measured(t, "platoon-10hz", "handling_part38.csv")
	// The source says that these speeds are the receivers' own (Doppler).
	c := named(t, set, "Speed2")
	if len(log.RowTime) != 2071 || c.Quantity != quantity.GPSSpeed || c.Unit != "m/s" || math.Abs(c.RateHz-10) > 0.01 {
		t.Errorf("%d rows, %q is %s in %q at %.2f Hz", len(log.RowTime), c.Name, c.Quantity, c.Unit, c.RateHz)
	}
	if o := named(t, set, "Speed6"); o.Quantity != quantity.Unknown {
		t.Errorf("the speed of another vehicle is taken for %s", o.Quantity)
	}
	if !strings.Contains(strings.Join(set.Notes, "\n"), "7 vehicles") {
		t.Errorf("not told: %q", set.Notes)
	}
	way := 0.0
	for i := 1; i < c.Trace.Len(); i++ {
		way += (c.Trace.V[i] + c.Trace.V[i-1]) / 2 * (c.Trace.T[i] - c.Trace.T[i-1])
	}
	if math.Abs(way/3104.7-1) > 0.001 {
		t.Errorf("%.1f m, want 3104.7", way)
	}
}

func TestCarsWithoutBoost(t *testing.T) {
	log, set := measured(t, "petrol-obd-1hz", "long1.csv")
	p, b := named(t, set, "INTAKE_MANIFOLD_PRESSURE"), named(t, set, "ABSOLUTE_BAROMETRIC_PRESSURE")
	if len(log.RowTime) != 3528 || p.Quantity != quantity.ManifoldPressure || p.Gauge || b.Quantity != quantity.BarometricPressure {
		t.Fatalf("%d rows; %s gauge %v, %s", len(log.RowTime), p.Quantity, p.Gauge, b.Quantity)
	}
	if slices.Max(p.Trace.V) > 102000 || slices.Min(p.Trace.V) < 18000 {
		t.Errorf("manifold from %.0f to %.0f Pa", slices.Min(p.Trace.V), slices.Max(p.Trace.V))
	}
	for _, f := range []struct {
		name     string
		rows     int
		top      float64 // mph
		readings int     // of the engine's speed
	}{{"drive16.csv", 501, 61.0, 493}, {"drive05.csv", 736, 56.1, 398}} {
		log, set := measured(t, "telematics-1hz", f.name)
		v, n := named(t, set, "speed_mph"), named(t, set, "engine_rpm")
		if len(log.RowTime) != f.rows || v.Quantity != quantity.VehicleSpeed || math.Abs(slices.Max(v.Trace.V)/0.44704-f.top) > 0.06 {
			t.Errorf("%s: %d rows, %s to %.2f mph", f.name, len(log.RowTime), v.Quantity, slices.Max(v.Trace.V)/0.44704)
		}
		if n.Quantity != quantity.EngineSpeed || math.Abs(float64(n.Trace.Len()-f.readings)) > 1 {
			t.Errorf("%s: %s with %d readings, want %d", f.name, n.Quantity, n.Trace.Len(), f.readings)
		}
	}
}

// TestRuinedBySpreadsheet: the good columns are kept, the bad ones named.
func TestRuinedBySpreadsheet(t *testing.T) {
	log, set := measured(t, "obd-spreadsheet-export", "19drivers.csv")
	if len(log.RowTime) != 8261 {
		t.Errorf("%d rows, want 8261", len(log.RowTime))
	}
	all := strings.Join(log.Notes, "\n")
	for _, want := range []string{`"TIME" cannot be the clock`, `"LATITUDE"`, "units stand in the cells"} {
		if !strings.Contains(all, want) {
			t.Errorf("not told: %s", want)
		}
	}
	for name, q := range map[string]quantity.Name{"ENGINE_RPM": quantity.EngineSpeed, "SPEED": quantity.VehicleSpeed, "MAF": quantity.AirFlow, "LATITUDE": quantity.Unknown} {
		if c := named(t, set, name); c.Quantity != q {
			t.Errorf("%q is %s, want %s", name, c.Quantity, q)
		}
	}
}

// TestNoCar: a pump's log is read and no part of a car is found in it.
func TestNoCar(t *testing.T) {
	for name, rows := range map[string]int{"anomaly-free.csv": 9405, "other-14.csv": 905, "other-11.csv": 1190, "valve1-6.csv": 1154} {
		log, set := measured(t, "pump-rig-faults", name)
		if len(log.RowTime) != rows {
			t.Errorf("%s: %d rows, want %d", name, len(log.RowTime), rows)
		}
		for _, c := range set.Channels {
			if c.Quantity != quantity.Unknown {
				t.Errorf("%s: %q is taken for %s (%.2f)", name, c.Name, c.Quantity, c.Confidence)
			}
		}
	}
}
