package health

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// shared finds a file of the reference tree beside the module, or skips.
func shared(t testing.TB, rel string) string {
	t.Helper()
	root := os.Getenv("TRAPLIGHT_SHARED")
	if root == "" {
		dir, _ := os.Getwd()
		for {
			if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
				break
			}
			up := filepath.Dir(dir)
			if up == dir {
				t.Skip("no go.mod above the test")
			}
			dir = up
		}
		root = filepath.Join(dir, "..", "shared")
	}
	p := filepath.Join(root, rel)
	if _, err := os.Stat(p); err != nil {
		t.Skipf("reference data not here: %s", rel)
	}
	return p
}

type truthFile struct {
	Channels []struct {
		Column, Quantity, Unit string
		RateHz                 float64 `json:"rate_hz"`
	}
	Passes []struct {
		TLaunch    float64 `json:"t_launch"`
		TFinalLift float64 `json:"t_final_lift"`
		Gears      []struct {
			Gear   int
			TStart float64 `json:"t_start"`
			TEnd   float64 `json:"t_end"`
		}
		Trace struct {
			TLog   []float64 `json:"t_log"`
			X, V   []float64
			A      []float64
			Gear   []int
			Slip   []float64
			Hub    []float64 `json:"hub_torque"`
			Driven []float64 `json:"driven_load"`
		} `json:"trace_20hz"`
		Faults []struct {
			Type, Grade string
			TStart      float64  `json:"t_start"`
			TObs        *float64 `json:"t_observable"`
		}
	}
}

var truthNames = map[string]quantity.Name{
	"rpm": quantity.EngineSpeed, "throttle": quantity.Throttle, "map": quantity.ManifoldPressure,
	"exhaust_manifold_pressure": quantity.ExhaustPressure, "barometer": quantity.BarometricPressure, "intake_temp": quantity.ChargeTemperature,
	"coolant_temp": quantity.CoolantTemperature, "coolant_pressure": quantity.CoolantPressure, "oil_pressure": quantity.OilPressure,
	"oil_temp": quantity.OilTemperature, "fuel_pressure": quantity.FuelPressure, "injector_duty": quantity.InjectorDuty,
	"lambda_1": quantity.Lambda, "lambda_2": quantity.Lambda, "ignition_angle": quantity.IgnitionAngle, "knock_1": quantity.Knock,
	"knock_2": quantity.Knock, "egt_b1": quantity.ExhaustTemperature, "egt_b2": quantity.ExhaustTemperature, "egt_all": quantity.ExhaustTemperature,
	"wheel_fl": quantity.WheelSpeedFL, "wheel_fr": quantity.WheelSpeedFR, "wheel_rl": quantity.WheelSpeedRL, "wheel_rr": quantity.WheelSpeedRR,
	"accel_long": quantity.AccelerationLong, "turbo_rpm": quantity.TurboSpeed, "crankcase_pressure": quantity.CrankcasePressure,
	"battery_voltage": quantity.BatteryVoltage, "nitrous_on": quantity.Nitrous, "brake": quantity.Brake, "wastegate": quantity.WastegateDuty,
	"fuel_flow": quantity.FuelVolumeFlow, "gps_speed": quantity.GPSSpeed,
}

// fromTruth makes a Record with the spans of the truth file, for the rooms that
// find spans are not what is tested here.
func fromTruth(t testing.TB, name string) (Record, truthFile) {
	t.Helper()
	log, err := logfile.Open(shared(t, "logs/"+name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(shared(t, "logs/"+name+".truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var tr truthFile
	if err := json.Unmarshal(raw, &tr); err != nil {
		t.Fatal(err)
	}
	set := &dictionary.Set{Clock: log.Clock}
	for _, c := range tr.Channels {
		q, ok := truthNames[c.Quantity]
		if !ok {
			continue
		}
		var col *logfile.Column
		for i := range log.Columns {
			if log.Columns[i].Name == c.Column {
				col = &log.Columns[i]
			}
		}
		if col == nil {
			t.Logf("%s: no column %q", name, c.Column)
			continue
		}
		u, ok := quantity.ParseUnit(c.Unit)
		if !ok && c.Unit != "0/1" && c.Unit != "lambda" {
			t.Logf("unit %q", c.Unit)
		}
		ch := dictionary.Channel{Name: c.Column, Quantity: q, RateHz: c.RateHz, Confidence: 1}
		for k, s := range []string{"_1", "_2", "_3"} {
			if strings.HasSuffix(c.Quantity, s) {
				ch.Index = k + 1
			}
		}
		if strings.HasSuffix(c.Quantity, "b1") {
			ch.Index = 1
		}
		if strings.HasSuffix(c.Quantity, "b2") {
			ch.Index = 2
		}
		var x trace.Trace
		for i, v := range col.Values {
			if math.IsNaN(v) {
				continue
			}
			if ok && c.Unit != "lambda" {
				v = u.SI(v)
			}
			x.T, x.V = append(x.T, log.RowTime[i]), append(x.V, v)
		}
		ch.Trace = x
		set.Channels = append(set.Channels, ch)
	}
	off := log.Clock.Log(0)
	tp := tr.Passes[0]
	p := &pass.Pass{Launch: quantity.Estimate{Value: tp.TLaunch - off}}
	lift := tp.TFinalLift - off
	p.Lift = &lift
	for _, g := range tp.Gears {
		p.Gears = append(p.Gears, pass.GearSpan{Gear: g.Gear, Start: g.TStart - off, End: g.TEnd - off})
	}
	k := tp.Trace
	p.Motion = pass.Motion{Start: k.TLog[0] - off, Step: 0.05, X: k.X, V: k.V, A: k.A}
	sd := make([]float64, len(k.V))
	force := make([]float64, len(k.V))
	for i := range sd {
		sd[i] = 50
		force[i] = k.Hub[i] / 0.33
	}
	th := set.First(quantity.Throttle).Trace
	full := make([]bool, len(k.V))
	for i := range full {
		v, ok := th.At(p.Motion.Start + float64(i)*0.05)
		full[i] = ok && v > 0.9 && k.Gear[i] > 0
	}
	p.Force = &pass.Force{HubTorque: k.Hub, HubSD: sd, Slip: k.Slip, DrivenLoad: k.Driven, TyreForce: force, Gear: k.Gear, FullThrottle: full, Radius: 0.33}
	return Record{Name: name, Set: set, Pass: p, Clear: len(tp.Faults) == 0}, tr
}

func sheetOf(t testing.TB, name string) *car.Sheet {
	s, err := car.LoadSheet(shared(t, "logs/car_"+name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func noteOf(t testing.TB, file string) *car.PassNote {
	n, err := car.LoadNotes(shared(t, "logs/passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	return n.For(file+".csv", 0)
}
