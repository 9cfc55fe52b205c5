package fuelling

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

const (
	// Relative standard deviations of a flow, 1. Common practice, no source: meters
	// are specified to 0.5–1 % and fitted worse; a set of injectors is flowed to 1–2 %
	// and its size stated for another fluid; their opening time is counted in the duty or
	// not, some 3 % at full load.
	meterRel, injectorRel, dutyRel = 0.015, 0.02, 0.03
	// How far the fuel at the meter may be from the temperature at which its density
	// was stated, K, when nobody measured it. Common practice, no source.
	fuelTempSD = 12.0
)

// flow is the mass flow of fuel.
type flow struct {
	x      trace.Trace // kg/s
	rel    float64     // 1, relative standard deviation
	source string
	// metered says that a flow meter shows it, not the injectors.
	metered bool
}

// findFlow takes the best source of fuel flow: a mass meter, a volume meter with
// the fuel's density, injectors with their pressure difference and duty.
func findFlow(set *dictionary.Set, sheet *car.Sheet, what fuel.Properties, rail, duty trace.Trace) (*flow, []string) {
	if x := sum(set, quantity.FuelFlow); x.Len() > 0 {
		return &flow{x, meterRel, "flow meter (mass)", true}, nil
	}
	density, densityRel := densityOf(set, what)
	if x := sum(set, quantity.FuelVolumeFlow); x.Len() > 0 {
		return &flow{scaled(x, density), hypot(meterRel, densityRel), "flow meter (volume)", true}, nil
	}
	if duty.Len() == 0 {
		return nil, []string{"no power by fuel: no channel for fuel flow or injector duty"}
	}
	if !(sheet.InjectorFlow > 0 && sheet.InjectorFlowPress > 0) {
		return nil, []string{"no power by fuel: the car sheet does not state injectors_total_flow_l_min and the pressure it holds at"}
	}
	var notes []string
	rel := hypot(injectorRel, dutyRel, densityRel)
	if rail.Len() == 0 {
		base := sheet.FuelPressureBase
		if !(base > 0) {
			base = sheet.InjectorFlowPress
		}
		// Half of 10 % in pressure.
		rel = hypot(rel, 0.05)
		notes = append(notes, fmt.Sprintf("fuel flow: the pressure across the injectors is taken as %.0f kPa (± 10 %%), no channel tells it", base/1e3))
		rail = trace.Trace{T: duty.T, V: make([]float64, duty.Len())}
		for i := range rail.V {
			rail.V[i] = base
		}
	}
	var x trace.Trace
	for i, t := range duty.T {
		if across, ok := rail.Mean(t-0.06, t+0.06, rail.LongestGap()); ok {
			x.T = append(x.T, t)
			x.V = append(x.V, InjectorFlow(sheet.InjectorFlow, sheet.InjectorFlowPress, across, duty.V[i])*density)
		}
	}
	if x.Len() == 0 {
		return nil, append(notes, "no power by fuel: fuel pressure and injector duty were never logged together")
	}
	return &flow{x, rel, "injectors", false}, notes
}

// InjectorFlow is the volume flow, m³/s, of injectors of which the set passes size,
// m³/s, fully open at the pressure difference at, Pa, when the difference is across,
// Pa, and they are open for the share duty, 0–1. Duty above 1 counts as 1, and a
// difference below zero passes nothing.
//
// Source: the square-root law of an orifice (Bernoulli), as in Heywood, Internal
// Combustion Engine Fundamentals, section 7.3 (from memory).
func InjectorFlow(size, at, across, duty float64) float64 {
	if across <= 0 || duty <= 0 {
		return 0
	}
	return size * math.Sqrt(across/at) * min(duty, 1)
}

// densityOf is the fuel's density, kg/m³, at the meter, and its relative spread: at
// the measured fuel temperature, else as it was stated.
func densityOf(set *dictionary.Set, what fuel.Properties) (rho, rel float64) {
	e, sd := what.Density, fuelTempSD
	if c := set.First(quantity.FuelTemperature); c != nil {
		if v := stats.Median(c.Trace.V); v > 250 && v < 360 {
			e, sd = what.DensityAt(v), 3
		}
	}
	return e.Value, hypot(e.SD/e.Value, what.Expansion*sd)
}

// overManifold is the fuel pressure over the manifold pressure, Pa, at the fuel
// pressure's samples; empty without both.
func overManifold(p *pass.Pass, set *dictionary.Set) trace.Trace {
	rail, man := set.First(quantity.FuelPressure), set.First(quantity.ManifoldPressure)
	if rail == nil || man == nil || p.AirPath == nil {
		return trace.Trace{}
	}
	// Both count from the barometer.
	zero := p.AirPath.ManifoldZero
	var x trace.Trace
	for i, t := range rail.Trace.T {
		if m, ok := man.Trace.At(t); ok {
			x.T = append(x.T, t)
			x.V = append(x.V, rail.Trace.V[i]-(m-zero))
		}
	}
	return x
}
