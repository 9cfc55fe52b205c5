package report

// Air is the air of the pass.
type Air struct {
	Density         *float64 `json:"density_kgpm3" jsonschema:"kg/m³"`
	DensitySD       *float64 `json:"density_sd_kgpm3" jsonschema:"kg/m³"`
	DensityAltitude *float64 `json:"density_altitude_m" jsonschema:"m in the standard atmosphere"`
	Correction      *float64 `json:"correction_sae_j1349" jsonschema:"ratio, for comparison only: it overstates for a boost-controlled engine"`
	Temperature     *float64 `json:"temperature_k" jsonschema:"K"`
	Pressure        *float64 `json:"pressure_pa" jsonschema:"Pa absolute"`
	Humidity        *float64 `json:"humidity" jsonschema:"0 to 1"`
	Source          string   `json:"source" jsonschema:"notes, log or assumed"`
}

// Grip is the fitted tyre curve.
type Grip struct {
	PeakSlip    *float64 `json:"peak_slip" jsonschema:"ratio, the slip of peak grip"`
	PeakSlipSD  *float64 `json:"peak_slip_sd" jsonschema:"ratio"`
	PeakGrip    *float64 `json:"peak_grip" jsonschema:"ratio, drive force over load at the peak"`
	PeakGripSD  *float64 `json:"peak_grip_sd" jsonschema:"ratio"`
	ReachedPeak bool     `json:"reached_peak" jsonschema:"the pass went past the slip of peak grip"`
}

// AirPath is the air's way into and out of the engine.
type AirPath struct {
	Barometer            *float64 `json:"barometer_pa" jsonschema:"Pa absolute"`
	BarometerSD          *float64 `json:"barometer_sd_pa" jsonschema:"Pa"`
	BarometerSource      string   `json:"barometer_source"`
	ManifoldOffset       *float64 `json:"manifold_offset_pa" jsonschema:"Pa, the manifold sensor's reading less the truth"`
	BackPressureGrowth   *float64 `json:"back_pressure_growth" jsonschema:"ratio, per cent of turbine inlet pressure for one per cent of manifold pressure; well above 1: the housing is used up"`
	BackPressureGrowthSD *float64 `json:"back_pressure_growth_sd" jsonschema:"ratio"`
	AirFlow              *float64 `json:"air_flow_kgps" jsonschema:"kg/s at peak power, by speed and density"`
	AirFlowSD            *float64 `json:"air_flow_sd_kgps" jsonschema:"kg/s"`
	VolumetricEfficiency *float64 `json:"volumetric_efficiency" jsonschema:"ratio at peak power; null when fuel and mixture do not tell the air"`
	VolumetricEffSD      *float64 `json:"volumetric_efficiency_sd" jsonschema:"ratio"`
	ChargeRise           *float64 `json:"charge_rise_k" jsonschema:"K, from launch to the highest"`
	CoolerEffectiveness  *float64 `json:"cooler_effectiveness" jsonschema:"ratio at peak power"`
	CompressorRise       *float64 `json:"compressor_rise_k" jsonschema:"K over the compressor at peak power"`
	CompressorEfficiency *float64 `json:"compressor_efficiency" jsonschema:"ratio, isentropic, at peak power"`
}

// Fuel is the fuel and its supply.
type Fuel struct {
	Name          string   `json:"name"`
	Stoich        *float64 `json:"stoich_afr" jsonschema:"kg of air per kg of fuel"`
	StoichSource  string   `json:"stoich_source"`
	FlowSource    *string  `json:"flow_source"`
	FlowMax       *float64 `json:"flow_max_kgps" jsonschema:"kg/s, highest mean over 0.1 s at full throttle"`
	Lambda        *float64 `json:"lambda" jsonschema:"ratio at peak power"`
	Efficiency    *float64 `json:"efficiency" jsonschema:"ratio, crank power by motion over the heat that the fuel could give with the air there"`
	EfficiencySD  *float64 `json:"efficiency_sd" jsonschema:"ratio"`
	InjectorSpare *float64 `json:"injector_spare" jsonschema:"0 to 1, one less the highest duty"`
	PressureLoss  *float64 `json:"pressure_loss_pa" jsonschema:"Pa, fuel pressure over manifold: base less the lowest at full throttle"`
}
