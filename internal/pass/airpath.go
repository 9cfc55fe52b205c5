package pass

import "traplight/internal/quantity"

// AirPath is what was learnt of the air's way into and out of the engine, beside
// the figures of gears and shifts.
type AirPath struct {
	Barometer       quantity.Estimate // Pa absolute, of this pass
	BarometerSource string            // "log", "notes", "log and notes", "engine off", "altitude", "assumed"
	ManifoldOffset  quantity.Estimate // Pa, manifold sensor's reading minus the truth
	ManifoldZero    float64           // Pa, what is taken off the channel's kept values for gauge boost: barometer and offset; 0 without a channel

	// BackPressureGrowth is how many per cent the turbine inlet pressure rises
	// when the manifold pressure rises by one (1, both absolute, steady moments at
	// full throttle, engine speed allowed for). Well above 1: the housing is used up.
	BackPressureGrowth *quantity.Estimate // 1
	// BackPressureFrom and To are the manifold pressures between which
	// BackPressureGrowth was seen.
	BackPressureFrom, BackPressureTo float64 // Pa absolute

	SweptFlow *quantity.Estimate // kg/s, air that would fill the swept volume at peak power
	AirFlow   *quantity.Estimate // kg/s, the same times a usual volumetric efficiency
	// VolumetricEfficiency at peak power: air taken in over the swept volume's
	// fill at manifold conditions. Measured when fuel and mixture tell the air, else nil.
	VolumetricEfficiency *quantity.Estimate // 1
	PeakManifold         float64            // Pa absolute at peak power; 0 unknown
	PeakChargeTemp       float64            // K at peak power; 0 unknown

	ChargeRise          *float64 // K, rise of the temperature before the engine from launch to its highest
	CoolerEffectiveness *float64 // 1, (before − after)/(before − cooling medium), at peak power
	CompressorRise      *float64 // K, over the compressor at peak power
	CompressorEff       *float64 // 1, isentropic efficiency of the compressor at peak power
}

// Fuel is what was learnt of the fuel and its supply.
type Fuel struct {
	Name          string
	Stoich        quantity.Estimate  // kg air per kg fuel
	StoichSource  string             // "measured ethanol", "car sheet", "fuel name"
	HeatingValue  quantity.Estimate  // J/kg, lower
	FlowSource    string             // "flow meter (mass)", "flow meter (volume)", "injectors", ""
	FlowMax       *quantity.Estimate // kg/s, highest mean over 0.1 s at full throttle
	Lambda        *quantity.Estimate // 1, at peak power
	AirByFuel     *quantity.Estimate // kg/s, air at peak power from fuel flow and mixture
	Efficiency    *quantity.Estimate // 1, crank power by motion over the heat that the fuel could give with the air there
	InjectorSpare *float64           // 0–1, one less the highest injector duty
	PressureLoss  *float64           // Pa, fuel pressure over manifold: base less the lowest at full throttle
}
