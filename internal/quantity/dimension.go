package quantity

// dimensions holds the dimension of every quantity that is not a plain number.
var dimensions = map[Name]Dimension{
	EngineSpeed: DimRotation, Throttle: DimShare, Pedal: DimShare,
	ManifoldPressure: DimPressure, ExhaustPressure: DimPressure, CompressorInletPressure: DimPressure,
	CompressorOutletPressure: DimPressure, BarometricPressure: DimPressure, FuelPressure: DimPressure,
	OilPressure: DimPressure, CoolantPressure: DimPressure, CrankcasePressure: DimPressure,
	BottlePressure: DimPressure, BrakePressure: DimPressure, BoostTarget: DimPressure,
	LambdaTarget: DimMixture, IntakeTemperature: DimTemperature, CompressorOutletTemperature: DimTemperature,
	ChargeTemperature: DimTemperature, CoolerWaterTemperature: DimTemperature, CoolantTemperature: DimTemperature,
	OilTemperature: DimTemperature, GearboxTemperature: DimTemperature, FuelTemperature: DimTemperature,
	ExhaustTemperature: DimTemperature, AmbientTemperature: DimTemperature, Humidity: DimShare,
	Lambda: DimMixture, InjectorDuty: DimShare, PumpDuty: DimShare, FuelTrim: DimShare,
	FuelFlow: DimMassFlow, FuelVolumeFlow: DimVolumeFlow, AirFlow: DimMassFlow, FuelLevel: DimShare,
	EthanolFraction: DimShare, IgnitionAngle: DimAngle, TorqueCut: DimShare, TurboSpeed: DimRotation,
	WheelSpeedFL: DimSpeed, WheelSpeedFR: DimSpeed, WheelSpeedRL: DimSpeed, WheelSpeedRR: DimSpeed,
	DrivenSpeed: DimSpeed, VehicleSpeed: DimSpeed, GPSSpeed: DimSpeed,
	Latitude: DimAngle, Longitude: DimAngle, Altitude: DimLength,
	AccelerationLong: DimAcceleration, AccelerationLat: DimAcceleration, YawRate: DimRotation,
	SteeringAngle: DimAngle, Clutch: DimShare, Brake: DimShare, Nitrous: DimShare, WastegateDuty: DimShare,
	TyreTemperature: DimTemperature, TyrePressure: DimPressure, BatteryVoltage: DimVoltage,
	RideHeight: DimLength, ShaftTorque: DimTorque, Heading: DimAngle, Time: DimTime,
}

// DimensionOf is the dimension in which a quantity is kept; DimNumber for
// counts, switches and readings as logged.
func DimensionOf(q Name) Dimension { return dimensions[q] }

// KeptAbsolute says whether a pressure is kept over vacuum; the others are kept
// over the barometer.
func KeptAbsolute(q Name) bool {
	switch q {
	case ManifoldPressure, ExhaustPressure, CompressorInletPressure, CompressorOutletPressure, BarometricPressure:
		return true
	}
	return false
}

// siSymbol is the SI unit of each dimension.
var siSymbol = map[Dimension]string{
	DimNumber: "1", DimTime: "s", DimLength: "m", DimSpeed: "m/s", DimAcceleration: "m/s²", DimAngle: "rad",
	DimRotation: "rad/s", DimMass: "kg", DimForce: "N", DimPressure: "Pa", DimTemperature: "K", DimTorque: "N·m",
	DimPower: "W", DimEnergy: "J", DimDensity: "kg/m³", DimMassFlow: "kg/s", DimVolumeFlow: "m³/s", DimVolume: "m³",
	DimShare: "1", DimMixture: "1", DimVoltage: "V", DimCurrent: "A", DimFrequency: "Hz",
}

// SISymbol is the symbol of the SI unit of a dimension.
func SISymbol(d Dimension) string { return siSymbol[d] }

// plain lists the quantities without a dimension.
var plain = []Name{Gear, Knock, LaunchControl}

// Exists says whether a name is that of a quantity.
func Exists(q Name) bool {
	_, ok := dimensions[q]
	for _, p := range plain {
		ok = ok || p == q
	}
	return ok
}
