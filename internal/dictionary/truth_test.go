package dictionary_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

type truthChannel struct {
	Column, Quantity, Unit string
	RateHz                 float64 `json:"rate_hz"`
}

type truth struct {
	File    string
	Dialect struct {
		RowRate float64 `json:"row_rate"`
	}
	Channels []truthChannel
}

// truthNames maps the names of quantities in the truth files to ours.
var truthNames = map[string]struct {
	q     quantity.Name
	index int
}{
	"rpm": {quantity.EngineSpeed, 0}, "throttle": {quantity.Throttle, 0}, "map": {quantity.ManifoldPressure, 0},
	"exhaust_manifold_pressure": {quantity.ExhaustPressure, 0}, "barometer": {quantity.BarometricPressure, 0},
	"intake_temp": {quantity.IntakeTemperature, 0}, "coolant_temp": {quantity.CoolantTemperature, 0},
	"coolant_pressure": {quantity.CoolantPressure, 0}, "oil_pressure": {quantity.OilPressure, 0}, "oil_temp": {quantity.OilTemperature, 0},
	"fuel_pressure": {quantity.FuelPressure, 0}, "injector_duty": {quantity.InjectorDuty, 0}, "fuel_flow": {quantity.FuelFlow, 0},
	"lambda_1": {quantity.Lambda, 1}, "lambda_2": {quantity.Lambda, 2}, "ignition_angle": {quantity.IgnitionAngle, 0},
	"knock_1": {quantity.Knock, 1}, "knock_2": {quantity.Knock, 2}, "egt_all": {quantity.ExhaustTemperature, 0},
	"egt_b1": {quantity.ExhaustTemperature, 1}, "egt_b2": {quantity.ExhaustTemperature, 2}, "egt_1": {quantity.ExhaustTemperature, 1},
	"egt_2": {quantity.ExhaustTemperature, 2}, "egt_3": {quantity.ExhaustTemperature, 3},
	"wheel_fl": {quantity.WheelSpeedFL, 0}, "wheel_fr": {quantity.WheelSpeedFR, 0}, "wheel_rl": {quantity.WheelSpeedRL, 0}, "wheel_rr": {quantity.WheelSpeedRR, 0},
	"accel_long": {quantity.AccelerationLong, 0}, "accel_lat": {quantity.AccelerationLat, 0}, "gps_speed": {quantity.GPSSpeed, 0},
	"gps_lat": {quantity.Latitude, 0}, "gps_lon": {quantity.Longitude, 0}, "turbo_rpm": {quantity.TurboSpeed, 0},
	"crankcase_pressure": {quantity.CrankcasePressure, 0}, "gear": {quantity.Gear, 0}, "battery_voltage": {quantity.BatteryVoltage, 0},
	"nitrous_on": {quantity.Nitrous, 0}, "brake": {quantity.Brake, 0}, "wastegate": {quantity.WastegateDuty, 0}, "clutch_pedal": {quantity.Clutch, 0},
}

// truthUnits maps the truth's units to the dictionary's spelling.
var truthUnits = map[string]string{
	"C": "°C", "F": "°F", "bar abs": "bar abs", "bar gauge": "bar gauge", "psi gauge": "psi gauge", "kPa abs": "kPa abs", "AFR": "AFR gasoline",
	"m/s2": "m/s²", "deg_pos": "deg",
}

// TestReferenceLogs compares quantity, index, unit and true rate of every
// channel of the reference logs with what their truth files say.
func TestReferenceLogs(t *testing.T) {
	dir := reftest.Path(t, "logs")
	files, err := filepath.Glob(filepath.Join(dir, "*.truth.json"))
	if err != nil || len(files) == 0 {
		t.Skipf("no truth files in %s", dir)
	}
	channels := 0
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var want truth
		if err := json.Unmarshal(data, &want); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Open(strings.TrimSuffix(f, ".truth.json") + ".csv")
		if err != nil {
			t.Error(err)
			continue
		}
		set, err := dictionary.Identify(log, dictionary.Options{})
		if err != nil {
			t.Error(err)
			continue
		}
		byName := map[string]*dictionary.Channel{}
		for i := range set.Channels {
			byName[set.Channels[i].Name] = &set.Channels[i]
		}
		for _, c := range want.Channels {
			channels++
			got := byName[c.Column]
			if got == nil {
				t.Errorf("%s: no channel %q", log.File, c.Column)
				continue
			}
			checkChannel(t, log.File, c, want.Dialect.RowRate, got)
		}
	}
	t.Logf("%d channels in %d logs", channels, len(files))
}

func checkChannel(t *testing.T, file string, want truthChannel, rowRate float64, got *dictionary.Channel) {
	t.Helper()
	name, ok := truthNames[want.Quantity]
	if !ok {
		t.Errorf("%s: the test does not know %q", file, want.Quantity)
		return
	}
	q := got.Quantity
	if q == quantity.ChargeTemperature && name.q == quantity.IntakeTemperature {
		q = name.q // the air before the engine by its other name
	}
	if q == quantity.FuelVolumeFlow {
		q = quantity.FuelFlow
	}
	if q != name.q || got.Index != name.index {
		t.Errorf("%s: %q is %s[%d], want %s[%d]", file, got.Name, got.Quantity, got.Index, name.q, name.index)
	}
	unit := want.Unit
	if u, ok := truthUnits[unit]; ok {
		unit = u
	}
	if u := strings.TrimSuffix(got.Unit, " gauge"); got.Unit != unit && u != unit && unit != "0/1" {
		t.Errorf("%s: %q is in %q, want %q", file, got.Name, got.Unit, unit)
	}
	if rate := math.Min(want.RateHz, rowRate); math.Abs(got.RateHz/rate-1) > 0.01 {
		t.Errorf("%s: %q has %.4g Hz, want %.4g", file, got.Name, got.RateHz, rate)
	}
	if got.Confidence < 0.6 {
		t.Errorf("%s: %q has a confidence of %.2f", file, got.Name, got.Confidence)
	}
}
