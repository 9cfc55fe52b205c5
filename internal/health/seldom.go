package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
)

// followRate is how often, Hz, what torque for the air is made of must be read at least:
// a row is 0.2 s, and a shift or the onset of boost is over in a few tenths.
const followRate = 8.0

// seldomTorque is how often, Hz, the slowest reading comes that torque for the air needs,
// where that is too seldom to follow a pass.
func (f *frame) seldomTorque() (hz float64, yes bool) {
	rate := func(q quantity.Name) float64 {
		if c := f.set.First(q); c != nil && c.RateHz > 0 {
			return c.RateHz
		}
		return nan()
	}
	motion := 0.0
	for _, q := range []quantity.Name{quantity.AccelerationLong, quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR,
		quantity.DrivenSpeed, quantity.VehicleSpeed, quantity.GPSSpeed} {
		if r := rate(q); r > motion {
			motion = r
		}
	}
	hz = math.Inf(1)
	if motion > 0 {
		hz = motion
	}
	for _, q := range []quantity.Name{quantity.EngineSpeed, quantity.ManifoldPressure} {
		if r := rate(q); r < hz {
			hz = r
		}
	}
	return hz, hz < followRate
}

// settled takes from a watch's mask, where the engine is read too seldom to follow, what lies within two of its readings behind a shift or a change of nitrous:
// readings between which the state changed are of neither.
func (f *frame) settled(s spec, mask []bool) []bool {
	slow := math.Inf(1)
	for _, q := range []quantity.Name{quantity.EngineSpeed, quantity.ManifoldPressure} {
		if c := f.set.First(q); c != nil && c.RateHz > 0 {
			slow = min(slow, c.RateHz)
		}
	}
	if s.whole || slow >= followRate || slices.Contains(s.quantities, "engine_speed") { // a clutch slips just then
		return mask
	}
	wait := 2 / slow
	out := slices.Clone(mask)
	left := 0
	for i := range out {
		if f.switching != nil && f.switching[i] {
			left = int(wait / cell)
		}
		left--
		out[i] = out[i] && left < 0 && !(f.since[i] < 0.3+wait)
	}
	return out
}

// lacking words why a group was not judged.
func (j *judge) lacking(name, missing string) string {
	hz, seldom := j.seldomTorque()
	switch {
	case name == "torque" && !j.roadSpeed():
		return "no speed but the engine's own"
	case name == "torque" && seldom:
		return fmt.Sprintf("readings come only %.0f times a second", hz)
	case name == "torque" && len(j.sheet.Gears) == 0 && j.set.First(quantity.EngineSpeed) != nil && j.set.First(quantity.ManifoldPressure) != nil:
		return "no gear ratios from a car sheet"
	case name == "boost" && j.noGears && len(j.sheet.Gears) == 0 && j.set.First(quantity.BoostTarget) == nil && j.set.First(quantity.ManifoldPressure) != nil:
		return "no channel for boost targets, and those by gear are of no use while the car sheet gives no ratios"
	case name == "boost" && j.set.First(quantity.ManifoldPressure) != nil:
		return "no boost targets in notes or car sheet, or too little of the pass at them"
	case (name == "turbo" || name == "mixture" || name == "crankcase" || name == "charge cooling") && j.hasAny(judgedByBoost[name]) && j.set.First(quantity.ManifoldPressure) == nil:
		return "no manifold pressure channel to judge it by"
	case (name == "clutch" || name == "tyres") && len(j.sheet.Gears) == 0 && j.set.First(quantity.EngineSpeed) != nil && j.roadSpeed():
		return "no gear ratios and driven wheels from a car sheet"
	}
	return missing
}

// judgedByBoost are the quantities of groups that are judged against manifold pressure.
var judgedByBoost = map[string][]quantity.Name{
	"turbo": {quantity.TurboSpeed, quantity.ExhaustPressure}, "mixture": {quantity.Lambda}, "crankcase": {quantity.CrankcasePressure},
	"charge cooling": {quantity.ChargeTemperature, quantity.IntakeTemperature},
}

// hasAny says whether the log has one of the quantities.
func (j *judge) hasAny(list []quantity.Name) bool {
	return slices.ContainsFunc(list, func(q quantity.Name) bool { return j.set.First(q) != nil })
}
