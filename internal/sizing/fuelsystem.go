package sizing

import (
	"math"

	"traplight/internal/physics/fuel"
	"traplight/internal/physics/pipe"
	"traplight/internal/quantity"
)

// viscosity of a fuel at about 30 °C, Pa·s: gasoline 0.5, ethanol 1.0, methanol 0.5 mPa·s
// (from memory; handbooks have 0.4–0.6, 0.99 and 0.51), mixed by the logarithm.
func viscosity(p fuel.Properties) float64 {
	e, m := math.Min(1, math.Max(0, p.Ethanol.Value)), math.Min(1, math.Max(0, p.Methanol))
	return math.Exp((1-e-m)*math.Log(0.5e-3) + e*math.Log(1.0e-3) + m*math.Log(0.5e-3))
}

const roughness = 1.5e-6 // m, of a drawn tube or hose liner (handbooks, from memory)

// fuelSystem sizes injectors, pump and line.
func (st *study) fuelSystem() {
	s := st.q.Sheet
	base := s.FuelPressureBase
	if !(base > 0) {
		base = s.InjectorFlowPress
	}
	if !(base > 0) {
		base = 300e3
		st.missing("The fuel pressure over the manifold is taken as 3 bar: the car sheet does not state fuel_pressure_base_bar.")
	}
	rated := s.InjectorFlowPress
	if !(rated > 0) {
		rated = base
	}
	duty := s.Limits.MaxInjectorDuty
	if !(duty > 0) {
		duty = dutyLimit
	}
	out := &Fuel{
		Basis: Basis{
			Method: "fuel by the engine's efficiency; injectors by the square root of the pressure difference, which a rail that follows the manifold keeps; line by Darcy and Colebrook",
			Source: "Heywood, section 7.3; C. F. Colebrook, J. Inst. Civil Eng. 11 (1939) 133",
		},
		Name: st.fuel.Name, Across: base, DutyLimit: duty, RatedAt: rated, Count: s.InjectorCount,
		LineLength: lineLength, LineLoss: lineLoss, LineSpeed: lineSpeed, SpareAssumed: pumpSpare,
	}
	st.r.Fuel = out
	st.assume("fuel temperature", fuelTemp, "K", practice)
	density, temp := st.draw("fuel density", st.fuel.Density, true), st.draw("fuel temperature", fuelTemp, false)
	spread := st.draw("injectors", quantity.Estimate{Value: 1, SD: 0.025}, true) // flowed for another fluid; common practice, no source
	nitrous := 0.0
	if n := s.Nitrous; n.Flow > 0 {
		nitrous = fuel.FuelForNitrous(n.Flow, st.fuel.Stoich.Value, richness.Value)
	}
	x := map[string][]float64{}
	for _, k := range []string{"mass", "volume", "need", "each", "duty", "pump", "rail", "power", "bore", "use"} {
		x[k] = nans(st.n)
	}
	pump := fuel.Pump{Flow: s.FuelPumpFlow, Press: s.FuelPumpPress, Volts: s.FuelPumpVolts, Measured: s.FuelPumpMeasured}
	stated := st.draw("fuel pump", quantity.Estimate{SD: 1}, false) // in the pump's own standard deviations
	over, short, n := 0, 0, 0
	for i := range st.n {
		b := &st.breaths[i]
		if math.IsNaN(b.fuel) {
			continue
		}
		n++
		rho := density[i] / (1 + st.fuel.Expansion*(temp[i]-288.15))
		injected := b.fuel
		if nitrous > 0 && !s.Nitrous.Wet {
			injected += nitrous
		}
		mass := b.fuel + nitrous
		volume := mass / rho
		fully := injected / rho / math.Sqrt(base/rated) // m³/s at the rating, open all the time
		x["mass"][i], x["volume"][i] = mass, volume
		x["need"][i] = fully / duty
		if s.InjectorCount > 0 {
			x["each"][i] = fully / duty / float64(s.InjectorCount)
		}
		if s.InjectorFlow > 0 {
			x["duty"][i] = fully / (s.InjectorFlow * spread[i])
			if x["duty"][i] > duty {
				over++
			}
		}
		x["pump"][i] = volume * (1 + pumpSpare)
		if !math.IsNaN(b.manifold) {
			// The rail stands base over the manifold; filter and feed line lose a little more.
			x["rail"][i] = base + b.manifold - b.barometer + lineLoss
			x["power"][i] = x["pump"][i] * x["rail"][i]
			if e := pump.At(x["rail"][i], pumpVolts); e.Value > 0 {
				x["use"][i] = volume / (e.Value * math.Exp(stated[i]*e.SD/e.Value))
				if x["use"][i] > 1 {
					short++
				}
			}
		}
		f := pipe.Flow{Volume: x["pump"][i], Length: lineLength, Density: rho, Viscosity: viscosity(st.fuel.Properties), Roughness: roughness}
		x["bore"][i] = f.BoreFor(lineLoss, lineSpeed)
	}
	out.Mass, out.Volume = figureOf(quantity.DimMassFlow, x["mass"]), figureOf(quantity.DimVolumeFlow, x["volume"])
	if nitrous > 0 {
		out.NitrousFuel = figureOf(quantity.DimMassFlow, []float64{nitrous})
	}
	out.Needed, out.Each, out.Duty = figureOf(quantity.DimVolumeFlow, x["need"]), figureOf(quantity.DimVolumeFlow, x["each"]), figureOf(quantity.DimShare, x["duty"])
	out.DutyOver = float64(over) / float64(max(1, n))
	if out.Duty == nil {
		st.missing("Whether your injectors suffice is not known: the car sheet does not state injectors_total_flow_l_min.")
	}
	out.Pump, out.PumpPressure = figureOf(quantity.DimVolumeFlow, x["pump"]), figureOf(quantity.DimPressure, x["rail"])
	out.PumpUse, out.PumpShort = figureOf(quantity.DimShare, x["use"]), float64(short)/float64(max(1, n))
	if len(pump.Flow) == 0 {
		st.missing("Whether your fuel pumps suffice is not known: the car sheet does not state fuel_pumps_total_flow_l_h and fuel_pumps_rated_at_bar.")
	}
	out.PumpPower, out.Bore = figureOf(quantity.DimPower, x["power"]), figureOf(quantity.DimLength, x["bore"])
}
