package main

import (
	"strings"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// way is how a change is carried over.
type way int

const (
	added  way = iota // as it is
	times             // as a share
	scaled            // with the boost
)

// carried is how each signal goes over, by its name in the generator's truth.
var carried = map[string]struct {
	to []quantity.Name
	by way
}{
	"rpm": {[]quantity.Name{quantity.EngineSpeed}, times}, "throttle": {[]quantity.Name{quantity.Throttle}, added},
	"map": {[]quantity.Name{quantity.ManifoldPressure}, scaled}, "pre_throttle_pressure": {[]quantity.Name{quantity.CompressorOutletPressure}, scaled},
	"exhaust_manifold_pressure": {[]quantity.Name{quantity.ExhaustPressure}, scaled}, "compressor_inlet_pressure": {[]quantity.Name{quantity.CompressorInletPressure}, added},
	"intake_temp": {[]quantity.Name{quantity.IntakeTemperature, quantity.ChargeTemperature}, added}, "compressor_out_temp": {[]quantity.Name{quantity.CompressorOutletTemperature}, added},
	"cooler_water_temp": {[]quantity.Name{quantity.CoolerWaterTemperature}, added}, "coolant_temp": {[]quantity.Name{quantity.CoolantTemperature}, added},
	"coolant_pressure": {[]quantity.Name{quantity.CoolantPressure}, scaled}, "crankcase_pressure": {[]quantity.Name{quantity.CrankcasePressure}, scaled},
	"oil_pressure": {[]quantity.Name{quantity.OilPressure}, times}, "oil_temp": {[]quantity.Name{quantity.OilTemperature}, added},
	"fuel_pressure": {[]quantity.Name{quantity.FuelPressure}, scaled}, "fuel_flow": {[]quantity.Name{quantity.FuelFlow, quantity.FuelVolumeFlow}, times},
	"injector_duty": {[]quantity.Name{quantity.InjectorDuty}, times}, "lambda": {[]quantity.Name{quantity.Lambda}, times},
	"ignition_angle": {[]quantity.Name{quantity.IgnitionAngle}, added}, "knock": {[]quantity.Name{quantity.Knock}, times},
	"egt": {[]quantity.Name{quantity.ExhaustTemperature}, added}, "turbo_rpm": {[]quantity.Name{quantity.TurboSpeed}, times},
	"wastegate": {[]quantity.Name{quantity.WastegateDuty}, added}, "gearbox_temp": {[]quantity.Name{quantity.GearboxTemperature}, added},
	"fuel_trim": {[]quantity.Name{quantity.FuelTrim}, added}, "tyre_pressure": {[]quantity.Name{quantity.TyrePressure}, times},
	"battery_voltage": {[]quantity.Name{quantity.BatteryVoltage}, added}, "bottle_pressure": {[]quantity.Name{quantity.BottlePressure}, times},
}

// signals are those of the fault's pass that move a channel of the host.
func (x *overlay) signals(c *dictionary.Channel) (out []demo.Displacement, by way) {
	if w, ok := wheels[c.Quantity]; ok {
		for _, s := range x.fault.Signals {
			if strings.HasPrefix(s.Quantity, "wheel_") && s.Quantity == "wheel_"+x.wheel(w) {
				out = append(out, s)
			}
		}
		return out, times
	}
	count := map[string]int{}
	for _, s := range x.fault.Signals {
		name, _ := demo.SignalOf(s.Quantity)
		count[name]++
	}
	for _, s := range x.fault.Signals {
		name, k := demo.SignalOf(s.Quantity)
		if name == "knock" && !x.knocks {
			continue
		}
		if count[name] == 1 {
			k = 0 // one sensor hears for all
		}
		to, ok := carried[strings.TrimSuffix(name, "_all")]
		if !ok {
			continue
		}
		for _, q := range to.to {
			if q == c.Quantity && (k == 0 || c.Index == 0 || k == c.Index) {
				out, by = append(out, s), to.by
			}
		}
	}
	return out, by
}

var wheels = map[quantity.Name]string{quantity.WheelSpeedFL: "fl", quantity.WheelSpeedFR: "fr", quantity.WheelSpeedRL: "rl", quantity.WheelSpeedRR: "rr"}

// wheel is the wheel of the fault's car that stands for one of the host's: driven for
// driven, left for left.
func (x *overlay) wheel(w string) string {
	front := x.sheet.Driven == car.FrontDriven
	if x.sheet.Driven == car.AllDriven || x.driven == car.AllDriven || front == (x.driven == car.FrontDriven) {
		return w
	}
	return map[string]string{"fl": "rl", "fr": "rr", "rl": "fl", "rr": "fr"}[w]
}

// moves is the mean of the signals' changes at a place: with and without the fault.
func moves(ss []demo.Displacement, g int, at float64) (well, sick float64) {
	k := min(int(at), demo.Bins-1)
	f := at - float64(k)
	for _, s := range ss {
		well += (s.Well[g][k]*(1-f) + s.Well[g][k+1]*f) / float64(len(ss))
		sick += (s.Sick[g][k]*(1-f) + s.Sick[g][k+1]*f) / float64(len(ss))
	}
	return well, sick
}

// carry gives a channel's reading with the fault, at a place in a gear.
func (x *overlay) carry(v, t float64, ss []demo.Displacement, by way, g int, at float64) float64 {
	well, sick := moves(ss, g, at)
	switch by {
	case times:
		// Knock is heard over a background that the generator's own level leaves out.
		if q, _ := demo.SignalOf(ss[0].Quantity); q == "knock" {
			well, sick = well+4*ss[0].Noise, sick+4*ss[0].Noise
		}
		if well == 0 || sick/well > 5 || sick/well < 0 {
			return 0
		}
		return v * (sick/well - 1)
	case scaled:
		return (sick - well) * x.scale
	}
	return sick - well
}

// has says whether the host logs what a signal of the generator moves.
func (x *overlay) has(q string) bool {
	for i := range x.hostSet.Channels {
		ss, _ := x.signals(&x.hostSet.Channels[i])
		for _, s := range ss {
			if s.Quantity == q {
				return true
			}
		}
	}
	return false
}
