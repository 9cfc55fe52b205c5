package main

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// truthQuantities are the names of the truth for the project's quantities.
var truthQuantities = map[string]struct {
	name  quantity.Name
	index int
}{
	"rpm": {quantity.EngineSpeed, 0}, "throttle": {quantity.Throttle, 0}, "map": {quantity.ManifoldPressure, 0},
	"exhaust_manifold_pressure": {quantity.ExhaustPressure, 0}, "barometer": {quantity.BarometricPressure, 0},
	"intake_temp": {quantity.IntakeTemperature, 0}, "coolant_temp": {quantity.CoolantTemperature, 0},
	"coolant_pressure": {quantity.CoolantPressure, 0}, "oil_pressure": {quantity.OilPressure, 0},
	"oil_temp": {quantity.OilTemperature, 0}, "fuel_pressure": {quantity.FuelPressure, 0},
	"injector_duty": {quantity.InjectorDuty, 0}, "lambda_1": {quantity.Lambda, 1}, "lambda_2": {quantity.Lambda, 2},
	"ignition_angle": {quantity.IgnitionAngle, 0}, "knock_1": {quantity.Knock, 1}, "knock_2": {quantity.Knock, 2},
	"egt_b1": {quantity.ExhaustTemperature, 1}, "egt_b2": {quantity.ExhaustTemperature, 2}, "egt_all": {quantity.ExhaustTemperature, 0},
	"egt_1": {quantity.ExhaustTemperature, 1}, "egt_2": {quantity.ExhaustTemperature, 2}, "egt_3": {quantity.ExhaustTemperature, 3},
	"wheel_fl": {quantity.WheelSpeedFL, 0}, "wheel_fr": {quantity.WheelSpeedFR, 0},
	"wheel_rl": {quantity.WheelSpeedRL, 0}, "wheel_rr": {quantity.WheelSpeedRR, 0},
	"accel_long": {quantity.AccelerationLong, 0}, "accel_lat": {quantity.AccelerationLat, 0},
	"gps_speed": {quantity.GPSSpeed, 0}, "gps_lat": {quantity.Latitude, 0}, "gps_lon": {quantity.Longitude, 0},
	"turbo_rpm": {quantity.TurboSpeed, 0}, "crankcase_pressure": {quantity.CrankcasePressure, 0}, "gear": {quantity.Gear, 0},
	"battery_voltage": {quantity.BatteryVoltage, 0}, "nitrous_on": {quantity.Nitrous, 0}, "brake": {quantity.Brake, 0},
	"fuel_flow": {quantity.FuelFlow, 0}, "wastegate": {quantity.WastegateDuty, 0}, "clutch_pedal": {quantity.Clutch, 0},
}

// truthUnit gives the unit of a truth's spelling.
func truthUnit(s string) (quantity.Unit, bool) {
	switch s {
	case "", "0/1", "deg_pos":
		if s == "deg_pos" {
			s = "deg"
			break
		}
		return quantity.Unit{Factor: 1}, true
	case "AFR":
		return quantity.Unit{Factor: 1 / quantity.GasolineAFR}, true
	}
	return quantity.ParseUnit(s)
}

// identify takes the channels' meaning from the truth instead of guessing, to
// tell the estimator's errors from the dictionary's.
func (v *variantLog) identify() *dictionary.Set {
	set := &dictionary.Set{Clock: v.Clock}
	barometer := 101325.0
	if len(v.truth.Passes) > 0 {
		barometer = v.truth.Passes[0].Air.Pressure
	}
	for i := range v.Columns {
		q := v.quantityOf(i)
		name, known := truthQuantities[q]
		unit, ok := truthUnit(v.unitOf(q))
		if !known || !ok {
			continue
		}
		if unit.Dim == quantity.DimVolumeFlow {
			name.name = quantity.FuelVolumeFlow
		}
		offset := 0.0
		if unit.Reference == quantity.OverAmbient && quantity.KeptAbsolute(name.name) {
			offset = barometer
		}
		rate := v.rateOf(q)
		c := dictionary.Channel{Name: v.Columns[i].Name, Quantity: name.name, Index: name.index, Unit: v.unitOf(q), RateHz: rate, Confidence: 1}
		last, at := math.NaN(), math.Inf(-1)
		smallest := math.Inf(1)
		for row, x := range v.Columns[i].Values {
			// A value held from the row before is no reading of its own, unless it
			// is due.
			if math.IsNaN(x) || x == last && v.RowTime[row]-at < 0.999/rate {
				continue
			}
			if d := math.Abs(x - last); d > 1e-9 && d < smallest {
				smallest = d
			}
			last, at = x, v.RowTime[row]
			c.Trace.T = append(c.Trace.T, at)
			c.Trace.V = append(c.Trace.V, unit.SI(x)+offset)
		}
		if !math.IsInf(smallest, 1) {
			c.Resolution = smallest * math.Abs(unit.Factor)
		}
		set.Channels = append(set.Channels, c)
	}
	return set
}

func (v *variantLog) rateOf(quantity string) float64 {
	for _, ch := range v.truth.Channels {
		if ch.Quantity == quantity && ch.RateHz > 0 {
			return ch.RateHz
		}
	}
	return 10
}
