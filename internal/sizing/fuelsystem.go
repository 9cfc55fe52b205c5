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
	base, rated, duty := st.railPressures()
	st.r.Fuel = &Fuel{
		Basis: Basis{
			Method: "fuel by the engine's efficiency; injectors by the square root of the pressure difference, which a rail that follows the manifold keeps; line by Darcy and Colebrook",
			Source: "Heywood, section 7.3; C. F. Colebrook, J. Inst. Civil Eng. 11 (1939) 133",
		},
		Name: st.fuel.Name, Across: base, DutyLimit: duty, RatedAt: rated, Count: s.InjectorCount,
		LineLength: lineLength, LineLoss: lineLoss, LineSpeed: lineSpeed, SpareAssumed: pumpSpare,
	}
	st.assume("fuel temperature", fuelTemp, "K", practice)
	d := &fuelDraws{study: st, base: base, rated: rated, duty: duty,
		pump:    fuel.Pump{Flow: s.FuelPumpFlow, Press: s.FuelPumpPress, Volts: s.FuelPumpVolts, Measured: s.FuelPumpMeasured},
		density: st.draw("fuel density", st.fuel.Density, true), temp: st.draw("fuel temperature", fuelTemp, false),
		spread: st.draw("injectors", quantity.Estimate{Value: 1, SD: 0.025}, true), // flowed for another fluid; common practice, no source
		stated: st.draw("fuel pump", quantity.Estimate{SD: 1}, false),
		x:      map[string][]float64{},
	}
	if n := s.Nitrous; n.Flow > 0 {
		d.nitrous = fuel.FuelForNitrous(n.Flow, st.fuel.Stoich.Value, richness.Value)
	}
	for _, k := range []string{"mass", "volume", "need", "each", "duty", "pump", "rail", "power", "bore", "use"} {
		d.x[k] = nans(st.n)
	}
	for i := range st.n {
		if !math.IsNaN(st.breaths[i].fuel) {
			d.one(i)
		}
	}
	d.tell(st.r.Fuel)
}

// railPressures are the fuel pressure over the manifold and the one at which the injectors are
// rated, Pa, and the greatest share of the time for which they may be open.
func (st *study) railPressures() (base, rated, duty float64) {
	s := st.q.Sheet
	base, rated, duty = s.FuelPressureBase, s.InjectorFlowPress, s.Limits.MaxInjectorDuty
	if !(base > 0) {
		base = rated
	}
	if !(base > 0) {
		base = 300e3
		st.missing("The fuel pressure over the manifold is taken as 3 bar: the car sheet does not state fuel_pressure_base_bar.")
	}
	if !(rated > 0) {
		rated = base
	}
	if !(duty > 0) {
		duty = dutyLimit
	}
	return base, rated, duty
}

// fuelDraws gathers what the cases ask of the fuel system.
type fuelDraws struct {
	*study
	base, rated, duty float64 // as railPressures
	nitrous           float64 // kg/s of fuel beside the nitrous
	pump              fuel.Pump
	density           []float64 // kg/m³ at 15 °C
	temp              []float64 // K
	spread            []float64 // of the injectors' flow, 1
	stated            []float64 // of the pump's flow, in its own standard deviations
	x                 map[string][]float64
	n, over, short    int // cases; those with too little injector, and pump
}

// one works out case i.
func (d *fuelDraws) one(i int) {
	s, b, x := d.q.Sheet, &d.breaths[i], d.x
	d.n++
	rho := d.density[i] / (1 + d.fuel.Expansion*(d.temp[i]-288.15))
	injected := b.fuel
	if d.nitrous > 0 && !s.Nitrous.Wet {
		injected += d.nitrous
	}
	mass := b.fuel + d.nitrous
	volume := mass / rho
	fully := injected / rho / math.Sqrt(d.base/d.rated) // m³/s at the rating, open all the time
	x["mass"][i], x["volume"][i] = mass, volume
	x["need"][i] = fully / d.duty
	if s.InjectorCount > 0 {
		x["each"][i] = fully / d.duty / float64(s.InjectorCount)
	}
	if s.InjectorFlow > 0 {
		x["duty"][i] = fully / (s.InjectorFlow * d.spread[i])
		if x["duty"][i] > d.duty {
			d.over++
		}
	}
	x["pump"][i] = volume * (1 + pumpSpare)
	if !math.IsNaN(b.manifold) {
		// The rail stands base over the manifold; filter and feed line lose a little more.
		x["rail"][i] = d.base + b.manifold - b.barometer + lineLoss
		x["power"][i] = x["pump"][i] * x["rail"][i]
		if e := d.pump.At(x["rail"][i], pumpVolts); e.Value > 0 {
			x["use"][i] = volume / (e.Value * math.Exp(d.stated[i]*e.SD/e.Value))
			if x["use"][i] > 1 {
				d.short++
			}
		}
	}
	f := pipe.Flow{Volume: x["pump"][i], Length: lineLength, Density: rho, Viscosity: viscosity(d.fuel.Properties), Roughness: roughness}
	x["bore"][i] = f.BoreFor(lineLoss, lineSpeed)
}

// tell sums the cases up, and says what no case could tell.
func (d *fuelDraws) tell(out *Fuel) {
	x, n := d.x, float64(max(1, d.n))
	out.Mass, out.Volume = figureOf(quantity.DimMassFlow, x["mass"]), figureOf(quantity.DimVolumeFlow, x["volume"])
	if d.nitrous > 0 {
		out.NitrousFuel = figureOf(quantity.DimMassFlow, []float64{d.nitrous})
	}
	out.Needed, out.Each, out.Duty = figureOf(quantity.DimVolumeFlow, x["need"]), figureOf(quantity.DimVolumeFlow, x["each"]), figureOf(quantity.DimShare, x["duty"])
	out.DutyOver = float64(d.over) / n
	if out.Duty == nil {
		d.missing("Whether your injectors suffice is not known: the car sheet does not state injectors_total_flow_l_min.")
	}
	out.Pump, out.PumpPressure = figureOf(quantity.DimVolumeFlow, x["pump"]), figureOf(quantity.DimPressure, x["rail"])
	out.PumpUse, out.PumpShort = figureOf(quantity.DimShare, x["use"]), float64(d.short)/n
	if len(d.pump.Flow) == 0 {
		d.missing("Whether your fuel pumps suffice is not known: the car sheet does not state fuel_pumps_total_flow_l_h and fuel_pumps_rated_at_bar.")
	}
	out.PumpPower, out.Bore = figureOf(quantity.DimPower, x["power"]), figureOf(quantity.DimLength, x["bore"])
}
