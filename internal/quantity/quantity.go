// Package quantity names the physical things that a log measures and that a
// pass is described by, each with its SI unit, and converts between SI and the
// units people use. It knows nothing of logs, cars or passes.
package quantity

// Name is the fixed name of a quantity, as in the report's JSON.
type Name string

// The quantities. The unit in which each is kept is in its comment.
const (
	EngineSpeed                 Name = "engine_speed"                  // rad/s
	Throttle                    Name = "throttle"                      // 0–1
	Pedal                       Name = "pedal"                         // 0–1
	ManifoldPressure            Name = "manifold_pressure"             // Pa absolute
	ExhaustPressure             Name = "exhaust_pressure"              // Pa absolute, turbine inlet, indexed
	CompressorInletPressure     Name = "compressor_inlet_pressure"     // Pa absolute
	CompressorOutletPressure    Name = "compressor_outlet_pressure"    // Pa absolute
	BarometricPressure          Name = "barometric_pressure"           // Pa absolute
	FuelPressure                Name = "fuel_pressure"                 // Pa gauge (over the barometer)
	OilPressure                 Name = "oil_pressure"                  // Pa gauge
	CoolantPressure             Name = "coolant_pressure"              // Pa gauge
	CrankcasePressure           Name = "crankcase_pressure"            // Pa gauge
	BottlePressure              Name = "bottle_pressure"               // Pa gauge
	BrakePressure               Name = "brake_pressure"                // Pa gauge
	BoostTarget                 Name = "boost_target"                  // Pa gauge
	LambdaTarget                Name = "lambda_target"                 // 1
	IntakeTemperature           Name = "intake_temperature"            // K
	CompressorOutletTemperature Name = "compressor_outlet_temperature" // K
	ChargeTemperature           Name = "charge_temperature"            // K, after the cooler
	CoolerWaterTemperature      Name = "cooler_water_temperature"      // K
	CoolantTemperature          Name = "coolant_temperature"           // K
	OilTemperature              Name = "oil_temperature"               // K
	GearboxTemperature          Name = "gearbox_temperature"           // K
	FuelTemperature             Name = "fuel_temperature"              // K
	ExhaustTemperature          Name = "exhaust_temperature"           // K, indexed
	AmbientTemperature          Name = "ambient_temperature"           // K
	Humidity                    Name = "humidity"                      // 0–1
	Lambda                      Name = "lambda"                        // 1, indexed
	InjectorDuty                Name = "injector_duty"                 // 0–1
	PumpDuty                    Name = "pump_duty"                     // 0–1
	FuelTrim                    Name = "fuel_trim"                     // 1 (0 = none), indexed
	FuelFlow                    Name = "fuel_flow"                     // kg/s; a volume flow is held in m³/s until the fuel's density is known, see FuelVolumeFlow
	FuelVolumeFlow              Name = "fuel_volume_flow"              // m³/s
	AirFlow                     Name = "air_flow"                      // kg/s
	FuelLevel                   Name = "fuel_level"                    // 0–1
	EthanolFraction             Name = "ethanol_fraction"              // 0–1 by volume
	IgnitionAngle               Name = "ignition_angle"                // rad before top dead centre
	TorqueCut                   Name = "torque_cut"                    // 0–1
	LaunchControl               Name = "launch_control"                // 0/1
	Knock                       Name = "knock"                         // as logged, indexed
	TurboSpeed                  Name = "turbo_speed"                   // rad/s, indexed
	WheelSpeedFL                Name = "wheel_speed_fl"                // m/s as logged
	WheelSpeedFR                Name = "wheel_speed_fr"                // m/s as logged
	WheelSpeedRL                Name = "wheel_speed_rl"                // m/s as logged
	WheelSpeedRR                Name = "wheel_speed_rr"                // m/s as logged
	DrivenSpeed                 Name = "driven_speed"                  // m/s as logged
	VehicleSpeed                Name = "vehicle_speed"                 // m/s as logged
	GPSSpeed                    Name = "gps_speed"                     // m/s
	Latitude                    Name = "latitude"                      // rad
	Longitude                   Name = "longitude"                     // rad
	Altitude                    Name = "altitude"                      // m
	AccelerationLong            Name = "acceleration_long"             // m/s²
	AccelerationLat             Name = "acceleration_lat"              // m/s²
	YawRate                     Name = "yaw_rate"                      // rad/s
	SteeringAngle               Name = "steering_angle"                // rad
	Gear                        Name = "gear"                          // 1, whole numbers; 0 neutral
	Clutch                      Name = "clutch"                        // 0–1 as logged
	Brake                       Name = "brake"                         // 0–1
	Nitrous                     Name = "nitrous"                       // 0–1
	WastegateDuty               Name = "wastegate_duty"                // 0–1
	TyreTemperature             Name = "tyre_temperature"              // K, indexed
	TyrePressure                Name = "tyre_pressure"                 // Pa gauge, indexed
	BatteryVoltage              Name = "battery_voltage"               // V
	RideHeight                  Name = "ride_height"                   // m, indexed
	ShaftTorque                 Name = "shaft_torque"                  // N·m
	Heading                     Name = "heading"                       // rad, course over ground
	Time                        Name = "time"                          // s
	Unknown                     Name = ""                              // not recognised
)
