package car

import (
	"math"

	"traplight/internal/quantity"
)

// written holds what a sheet states in another form than Sheet keeps it.
type written struct {
	driven      string
	finalByGear []float64         // 1
	primary     float64           // 1
	liftUp      quantity.Estimate // m², whole car, upwards positive
	liftUpFront quantity.Estimate // m²
	liftUpRear  quantity.Estimate // m²
	downFront   quantity.Estimate // m²
	downRear    quantity.Estimate // m²

	tyre map[string]*wheelText // by prefix: "", "driven_", "undriven_", "front_", "rear_"

	speedSymbol    string
	injectorEach   float64 // m³/s
	injectorCount  int
	pumpEach       []float64 // m³/s
	pumpCount      int
	usualBoostOne  float64 // Pa gauge
	bottlePressure float64 // Pa absolute
	nitrousKind    string
	nitrousWet     *bool
	nitrousDry     *bool
}

// wheelText is how one axle's tyres are described.
type wheelText struct {
	size            string
	unloaded        quantity.Estimate // m
	rolling, circum quantity.Estimate // m
	inertia         quantity.Estimate // kg·m², one wheel with tyre and brake disc
}

// tyrePrefixes are the ways to say which tyres are meant; none means all.
var tyrePrefixes = []string{"", "driven_", "undriven_", "front_", "rear_"}

// sheetFields lists every key of a car sheet, bound to s and w.
func sheetFields(s *Sheet, w *written) []field {
	f := []field{
		{table: "", stems: []string{"name"}, dst: &s.Name, example: `"my car"`, doc: "what you call the car", basic: true},
		{table: "", stems: []string{"text"}, dst: &s.Text, example: `"rear-drive, 3.0 inline-6, one turbo, five-speed dog box, ethanol blend"`, doc: "a line about it", basic: true},
		{table: "", stems: []string{"revision"}, dst: &s.Revision, example: `"2, taller fifth"`, doc: "which version of the sheet this is"},
		{table: "", stems: []string{"valid_from"}, dst: &s.ValidFrom, example: `"2031-05-01"`, doc: "day (and time) from which this sheet is true; of several sheets the latest before the pass applies"},
		{table: "", stems: []string{"sensors"}, dst: &s.Sensors, example: `"oil pressure: new in June; lambda: second pair"`, doc: "sensors that were changed, and which they are now: against passes under another sheet their levels may have stepped"},
		{table: "", stems: []string{"units"}, dst: &s.Units, words: []string{"us", "metric"}, example: `"us"`, doc: "units to show this car in: \"us\" (psi, lb-ft, mph, °F) or \"metric\" (kPa, N·m, km/h, °C)"},

		{table: "body", stems: []string{"mass"}, dim: dimMass, dst: &s.Mass, limits: above(0), likely: between(350, 4000), rel: massRel, example: "1390", doc: "with driver and fuel as it starts; corner scales", help: "force, torque and power are proportional to it", basic: true},
		{table: "body", stems: []string{"cda", "drag_area"}, dim: dimArea, dst: &s.DragArea, limits: above(0), likely: between(0.2, 2.5), rel: dragRel, example: "0.66", doc: "drag coefficient times frontal area; an estimate will do", help: "torque and power at speed, the account of drag, stopping", basic: true},
		{table: "body", stems: []string{"lift", "lift_area"}, dim: dimArea, dst: &w.liftUp, rel: liftRel, abs: liftAbs, limits: between(-6, 3), example: "0.05", doc: "lift coefficient times frontal area of the whole car, upwards positive; half is taken for each axle"},
		{table: "body", stems: []string{"lift_front", "lift_area_front"}, dim: dimArea, dst: &w.liftUpFront, rel: liftRel, abs: liftAbs, limits: between(-4, 2), example: "0.05", doc: "lift area at the front axle, upwards positive"},
		{table: "body", stems: []string{"lift_rear", "lift_area_rear"}, dim: dimArea, dst: &w.liftUpRear, rel: liftRel, abs: liftAbs, limits: between(-4, 2), example: "0.02", doc: "lift area at the rear axle, upwards positive"},
		{table: "body", stems: []string{"downforce_front", "downforce_area_front"}, dim: dimArea, dst: &w.downFront, rel: liftRel, abs: liftAbs, limits: between(-2, 4), example: "-0.05", doc: "the same as lift_front, downwards positive"},
		{table: "body", stems: []string{"downforce_rear", "downforce_area_rear"}, dim: dimArea, dst: &w.downRear, rel: liftRel, abs: liftAbs, limits: between(-2, 4), example: "0.1", doc: "the same as lift_rear, downwards positive"},
		{table: "body", stems: []string{"rolling_resistance", "rolling_coefficient"}, dim: share, dst: &s.RollingResist, limits: limits{0, 0.1, true}, likely: between(0.004, 0.04), rel: 0.15, example: "0.013", doc: "rolling resistance coefficient at low speed", help: "a few per cent of the force at low speed"},
		{table: "body", stems: []string{"wheelbase"}, dim: dimLength, dst: &s.Wheelbase, limits: above(0), likely: between(1.8, 4), rel: 0.005, example: "2.70", doc: "axle to axle", help: "load transfer, so the grip used and the torque ceiling", basic: true},
		{table: "body", stems: []string{"cg_height"}, dim: dimLength, dst: &s.CGHeight, limits: above(0), likely: between(0.25, 0.9), rel: cgRel, example: "0.48", doc: "height of the centre of gravity; an estimate will do", help: "load transfer, so the grip used and the torque ceiling", basic: true},
		{table: "body", stems: []string{"front_weight_share"}, dim: share, dst: &s.FrontWeightShare, limits: between(0.05, 0.95), likely: between(0.3, 0.75), abs: 0.01, example: "0.53", doc: "share of the weight on the front axle, standing", help: "load on the driven axle, so the grip used and the torque ceiling", basic: true},

		{table: "driveline", stems: []string{"driven"}, dst: &w.driven, words: drivenWords, other: drivenOther, example: `"rear"`, doc: "driven axle: \"front\", \"rear\" or \"all\"", help: "which wheel speeds may slip; grip and its ceiling", basic: true},
		{table: "driveline", stems: []string{"gearbox"}, dst: &s.Gearbox, example: `"dog"`, doc: "\"synchro\", \"dog\" or what it is", help: "how a shift looks in the log", basic: true},
		{table: "driveline", stems: []string{"shift_style"}, dst: &s.ShiftStyle, example: `"ignition cut, throttle held"`, doc: "what the driver does in a shift", help: "how a shift looks in the log", basic: true},
		{table: "driveline", stems: []string{"gears"}, dim: plain, dst: &s.Gears, limits: above(0), likely: between(0.3, 8), example: "[2.85, 1.95, 1.44, 1.14, 0.92]", doc: "ratios from first gear on, input turns for one output turn", help: "gears, wheel torque, slip", basic: true},
		{table: "driveline", stems: []string{"final_drive"}, dim: plain, dst: &s.FinalDrive, limits: above(0), likely: between(1.5, 8), example: "3.15", doc: "final drive ratio", help: "gears, wheel torque, slip", basic: true},
		{table: "driveline", stems: []string{"final_drive"}, tail: "_by_gear", dim: plain, dst: &w.finalByGear, limits: above(0), likely: between(1.5, 8), example: "[4.06, 4.06, 4.06, 4.06, 3.45, 3.45]", doc: "instead of final_drive, for a gearbox with two output shafts"},
		{table: "driveline", stems: []string{"primary_drive"}, dim: plain, dst: &w.primary, limits: above(0), likely: between(0.3, 5), example: "1.0", doc: "ratio between engine and gearbox, where there is one"},
		{table: "driveline", stems: []string{"loss_share"}, dim: share, dst: &s.LossShare, limits: between(0, 0.5), likely: between(0.01, 0.25), abs: lossSD, example: "0.06", doc: "share of crank power lost between crank and hubs; a guess will do", help: "crank torque from wheel torque", basic: true},
		{table: "driveline", stems: []string{"clutch_torque_rating"}, dim: dimTorque, dst: &s.ClutchTorque, limits: above(0), likely: between(100, 6000), example: "1400", doc: "what the clutch holds, by its maker", help: "whether a slip was to be expected", basic: true},
		{table: "driveline", stems: []string{"driven_inertia", "driven_wheels_inertia"}, dim: dimInertia, dst: &s.DrivenInertia, limits: above(0), likely: between(0.5, 12), rel: 0.1, example: "2.6", doc: "all driven wheels together, with tyres, discs and shafts", help: "hub torque while the wheels speed up or spin"},
		{table: "driveline", stems: []string{"undriven_inertia", "undriven_wheels_inertia"}, dim: dimInertia, dst: &s.UndrivenInertia, limits: atLeast(0), likely: between(0, 12), rel: 0.1, example: "2.2", doc: "all undriven wheels together, with tyres and discs", help: "one to two per cent of the force"},

		{table: "tyres", stems: []string{"usual_cold_pressure"}, dim: dimTyre, dst: &s.UsualColdPressure, limits: between(0.1e5, 10e5), likely: between(0.4e5, 5e5), example: "1.60", doc: "cold tyre pressure, gauge, driven tyres", basic: true},
		{table: "tyres", stems: []string{"circumference_set_in_logger"}, dim: dimLength, dst: &s.LoggerCircum, limits: above(0), likely: between(1.2, 3.2), example: "2.109", doc: "rolling circumference that the logger uses for its wheel speeds", help: "what the logged wheel speeds really mean", basic: true},
		{table: "tyres", stems: []string{"speed_symbol"}, dst: &w.speedSymbol, example: `"Y"`, doc: "speed symbol on the side wall; plain Y ends at 300 km/h, 186 mph", help: "a caution before the tyre's speed is exceeded"},
		{table: "tyres", stems: []string{"speed_limit"}, dim: dimRoadSpeed, dst: &s.TyreSpeedLimit, limits: above(0), likely: between(30, 180), example: "360", doc: "highest speed by the tyre maker's written statement"},
		{table: "limits", stems: []string{"unusual_confirmed"}, dst: &s.Limits.Confirmed, example: "false", doc: "true when limits here that are outside what is usual were checked, figure and unit; without it they count as not stated and there is no card"},

		{table: "engine", stems: []string{"displacement"}, dim: dimVolume, dst: &s.Displacement, limits: above(0), likely: between(0.4e-3, 15e-3), example: "3.0", doc: "swept volume", help: "air flow by speed and density, inertia", basic: true},
		{table: "engine", stems: []string{"cylinders"}, dst: &s.Cylinders, limits: between(1, 24), example: "6", doc: "number of cylinders", help: "a cylinder that drops out", basic: true},
		{table: "engine", stems: []string{"bore"}, dim: dimBore, dst: &s.Bore, limits: above(0), likely: between(0.04, 0.2), example: "86", doc: "bore", help: "where knock rings"},
		{table: "engine", stems: []string{"stroke"}, dim: dimBore, dst: &s.Stroke, limits: above(0), likely: between(0.03, 0.2), example: "86", doc: "stroke"},
		{table: "engine", stems: []string{"compression_ratio"}, dim: plain, dst: &s.Compression, limits: between(3, 30), example: "9.0", doc: "compression ratio"},
		{table: "engine", stems: []string{"inertia", "engine_inertia"}, dim: dimInertia, dst: &s.EngineInertia, limits: above(0), likely: between(0.01, 1.5), rel: 0.1, example: "0.17", doc: "crankshaft, flywheel and clutch", help: "crank torque in the lower gears"},
		{table: "engine", stems: []string{"rev_limit"}, dim: dimRev, dst: &s.RevLimit, limits: above(0), likely: between(2500*rpm, 16000*rpm), example: "8700", doc: "engine speed at which the limiter cuts", help: "room for later shifts", basic: true},
		{table: "engine", stems: []string{"fuel"}, dst: &s.Fuel, example: `"E85"`, doc: "gasoline with its octane, E85 or another blend, ethanol, methanol", help: "stoichiometry and power by fuel", basic: true},
		{table: "engine", stems: []string{"stoich_afr"}, dim: plain, dst: &s.StoichAFR, limits: between(1, 40), likely: between(5, 16), example: "9.76", doc: "air-fuel ratio of your fuel at lambda 1, if you know it", help: "power by fuel"},
		{table: "engine", stems: []string{"fuel_density"}, dim: dimDensity, dst: &s.FuelDensity, limits: between(200, 2000), likely: between(650, 1150), example: "781", doc: "density of your fuel, if you know it", help: "fuel mass from injector volume"},
		{table: "engine", stems: []string{"injectors_total_flow", "injector_total_flow"}, dim: dimVolumeFlow, dst: &s.InjectorFlow, limits: above(0), likely: between(0.8e-3/60, 80e-3/60), example: "10.9", doc: "all injectors together, fully open, at the rated pressure difference", help: "power by fuel, headroom of the injectors", basic: true},
		{table: "engine", stems: []string{"injector_flow_each", "injector_flow"}, dim: dimVolumeFlow, dst: &w.injectorEach, limits: above(0), example: "1.8", doc: "instead: one injector, with injector_count"},
		{table: "engine", stems: []string{"injector_count"}, dst: &w.injectorCount, limits: between(1, 64), example: "6", doc: "number of injectors"},
		{table: "engine", stems: []string{"injectors_rated_at", "injector_rated_at"}, dim: dimBar, dst: &s.InjectorFlowPress, limits: above(0), likely: between(1e5, 12e5), example: "3.5", doc: "pressure difference at which that flow holds", help: "power by fuel, headroom of the injectors", basic: true},
		{table: "engine", stems: []string{"fuel_pressure_base"}, dim: dimBar, dst: &s.FuelPressureBase, limits: above(0), likely: between(1e5, 12e5), example: "3.5", doc: "fuel pressure over the manifold's; it rises one for one with manifold pressure", help: "whether the pump keeps up", basic: true},
		{table: "engine", stems: []string{"fuel_pumps_total_flow", "fuel_pump_flow"}, dim: dimPumpFlow, dst: &s.FuelPumpFlow, limits: above(0), likely: between(40e-3/3600, 6000e-3/3600), example: "780", doc: "what all fuel pumps that feed the rail side by side bring together at their rated pressure, by their maker; as a list, points of the maker's curve, each at its pressure", help: "how much more the fuel system carries: no log shows it", basic: true},
		{table: "engine", stems: []string{"fuel_pumps_rated_at", "fuel_pump_rated_at"}, dim: dimBar, dst: &s.FuelPumpPress, limits: atLeast(0), likely: between(0, 15e5), example: "3.0", doc: "pressure at the pump's outlet, gauge, at which that flow holds; a list for a list of flows", help: "how much more the fuel system carries: a pump brings less against more pressure", basic: true},
		{table: "engine", stems: []string{"fuel_pumps_rated_volts", "fuel_pump_rated_volts"}, dim: plain, dst: &s.FuelPumpVolts, limits: between(5, 60), likely: between(10, 24), example: "13.5", doc: "volts at the pump for which that flow holds; 13.5 when not stated"},
		{table: "engine", stems: []string{"fuel_pumps_measured"}, dst: &s.FuelPumpMeasured, example: "true", doc: "true when that flow was measured in the car at that pressure, with the engine running or on its volts; it counts as right to 2.5 %, a maker's to 5 %"},
		{table: "engine", stems: []string{"fuel_pump_flow_each"}, dim: dimPumpFlow, dst: &w.pumpEach, limits: above(0), example: "390", doc: "instead: one of several equal pumps, with fuel_pump_count"},
		{table: "engine", stems: []string{"fuel_pump_count"}, dst: &w.pumpCount, limits: between(1, 12), example: "2", doc: "number of fuel pumps that feed the rail side by side"},
		{table: "engine", stems: []string{"turbo"}, dst: &s.Turbo, example: `"large single"`, doc: "as you call it", basic: true},
		{table: "engine", stems: []string{"turbo_count"}, dst: &s.TurboCount, limits: between(0, 8), example: "1", doc: "number of turbos"},
		{table: "engine", stems: []string{"compressor_inducer", "inducer"}, dim: dimBore, dst: &s.Inducer, limits: limits{0, 0.5, true}, likely: between(0.02, 0.16), example: "67", doc: "compressor wheel, diameter of its inlet blades, of each turbo", help: "turbo speed where no channel shows it", basic: true},
		{table: "engine", stems: []string{"compressor_exducer", "exducer"}, dim: dimBore, dst: &s.Exducer, limits: limits{0, 0.5, true}, likely: between(0.03, 0.2), example: "91", doc: "compressor wheel, diameter at its outlet, the larger one, of each turbo", help: "turbo speed where no channel shows it", basic: true},
		{table: "engine", stems: []string{"compressor_map"}, dst: &s.CompressorMap, example: `"compressor.csv"`, doc: "file of the digitised compressor map", help: "operating points on the map, turbo speed where no channel shows it"},
		{table: "engine", stems: []string{"usual_boost"}, tail: "_by_gear", dim: dimGauge, dst: &s.UsualBoost, limits: between(-1e5, 10e5), likely: between(-0.5e5, 6e5), example: "[120, 190, 240, 240, 240]", doc: "boost target by gear, gauge", help: "boost recovery where the log has no target", basic: true},
		{table: "engine", stems: []string{"usual_boost"}, dim: dimGauge, dst: &w.usualBoostOne, limits: between(-1e5, 10e5), example: "240", doc: "instead: one target for all gears"},
		{table: "engine", stems: []string{"usual_shift"}, dim: dimRev, dst: &s.UsualShiftSpeed, limits: above(0), likely: between(2500*rpm, 15000*rpm), example: "[8200, 8200, 8250, 8250]", doc: "aimed shift speed out of each gear", help: "what late or early shifts cost", basic: true},
		{table: "engine", stems: []string{"slip_cut"}, dst: &s.SlipCut, example: "false", doc: "true when electronics cut torque on wheelspin", basic: true},
		{table: "engine", stems: []string{"lambda_scale_in_afr_columns"}, dim: plain, dst: &s.LambdaScale, limits: between(5, 20), example: "14.7", doc: "what an air-fuel gauge shows at lambda 1; 14.7 by custom, whatever the fuel"},
		{table: "engine", stems: []string{"boost_setpoint"}, dst: &s.BoostSetpoint, words: []string{"gauge", "absolute"}, example: `"gauge"`, doc: "whether the engine computer holds boost over the barometer or absolute pressure", help: "what the next pass's weather does to boost"},

		{table: "limits", stems: []string{"max_boost"}, dim: dimGauge, dst: &s.Limits.MaxBoost, limits: above(0), likely: between(0.2e5, 7e5), example: "260", doc: "gauge"},
		{table: "limits", stems: []string{"gearbox_torque"}, tail: "_by_gear", dim: dimTorque, dst: &s.Limits.GearboxTorque, limits: above(0), likely: between(80, 6000), example: "[700, 900, 1000, 1000, 1000]", doc: "at the input shaft"},
		{table: "limits", stems: []string{"max_injector_duty"}, dim: share, dst: &s.Limits.MaxInjectorDuty, limits: limits{0, 1, true}, likely: between(0.3, 1), example: "0.9", doc: "0 to 1"},
		{table: "limits", stems: []string{"max_back_pressure_ratio"}, dim: plain, dst: &s.Limits.MaxBackPressureRatio, limits: limits{0, 10, true}, likely: between(0.8, 5), example: "2.2", doc: "turbine inlet over manifold pressure, both absolute"},
		{table: "limits", stems: []string{"max_turbo"}, dim: dimRev, dst: &s.Limits.MaxTurboSpeed, limits: above(0), likely: between(20000*rpm, 350000*rpm), example: "125000", doc: "turbo speed"},
		{table: "limits", stems: []string{"max_crank_power"}, dim: dimPower, dst: &s.Limits.MaxCrankPower, limits: above(0), likely: between(40e3, 4e6), example: "850", doc: "what the engine is built for"},
		{table: "limits", stems: []string{"max_exhaust_temp"}, dim: dimTemp, dst: &s.Limits.MaxExhaustTemp, limits: above(celsius), likely: between(celsius+400, celsius+1200), example: "950", doc: "before the turbine"},
		{table: "limits", stems: []string{"max_charge_temp"}, dim: dimTemp, dst: &s.Limits.MaxChargeTemp, limits: above(celsius), likely: between(celsius+20, celsius+150), example: "60", doc: "after the cooler"},
		{table: "limits", stems: []string{"max_lambda"}, dim: plain, dst: &s.Limits.MaxLambda, limits: between(0.4, 1.5), example: "0.84", doc: "leanest at full load"},
		{table: "limits", stems: []string{"max_engine"}, dim: dimRev, dst: &s.Limits.MaxEngineSpeed, limits: above(0), likely: between(2500*rpm, 16000*rpm), example: "8700", doc: "engine speed never to be passed"},
		{table: "limits", stems: []string{"tyre_speed"}, dim: dimRoadSpeed, dst: &s.Limits.TyreSpeed, limits: above(0), likely: between(30, 180), example: "360", doc: "highest speed by the tyre maker's written statement"},

		{table: "nitrous", stems: []string{"flow"}, dim: dimMassFlow, dst: &s.Nitrous.Flow, limits: atLeast(0), likely: between(0, 0.6), example: "0.05", doc: "nitrous oxide while it flows"},
		{table: "nitrous", stems: []string{"kind"}, dst: &w.nitrousKind, words: []string{"wet", "dry"}, example: `"wet"`, doc: "\"wet\" brings its own fuel, \"dry\" does not"},
		{table: "nitrous", stems: []string{"wet"}, dst: &w.nitrousWet, example: "true", doc: "the same as kind"},
		{table: "nitrous", stems: []string{"dry"}, dst: &w.nitrousDry, example: "false", doc: "the same as kind"},
		{table: "nitrous", stems: []string{"opens_below_target", "below_target", "boost_below_target"}, dim: dimDifference, dst: &s.Nitrous.BelowTarget, limits: atLeast(0), likely: between(0, 4e5), example: "30", doc: "it may open while boost is more than this below its target"},
		{table: "nitrous", stems: []string{"gears"}, dst: &s.Nitrous.Gears, limits: between(1, maxGears), example: "[2, 3]", doc: "gears in which it may open; all when not stated"},
		{table: "nitrous", stems: []string{"bottle_pressure"}, dim: dimAbsolute, dst: &w.bottlePressure, limits: above(0), likely: between(20e5, 90e5), example: "5400", doc: "absolute, or with psig or barg as the gauge shows it"},

		{table: "target", stems: []string{"trap"}, dim: dimRoadSpeed, dst: &s.Target, limits: above(0), likely: between(20, 180), example: "322", doc: "trap speed aimed at", help: "the chance of reaching it"},
	}
	for _, p := range tyrePrefixes {
		t := &wheelText{}
		w.tyre[p] = t
		which := map[string]string{"": "", "driven_": ", driven axle", "undriven_": ", undriven axle", "front_": ", front axle", "rear_": ", rear axle"}[p]
		basic := p == ""
		f = append(f,
			field{table: "tyres", stems: []string{p + "size"}, dst: &t.size, example: `"275/45-17 drag radial"`, doc: "size as on the side wall" + which, help: helpRadius(p), basic: basic},
			field{table: "tyres", stems: []string{p + "unloaded_radius"}, dim: dimLength, dst: &t.unloaded, limits: limits{0.1, 0.8, false}, likely: between(0.22, 0.5), example: "0.341", doc: "half of the outer diameter, wheel off the ground" + which, help: helpRadius(p), basic: basic},
			field{table: "tyres", stems: []string{p + "rolling_radius"}, dim: dimLength, dst: &t.rolling, rel: tyreStatedSD, limits: limits{0.1, 0.8, false}, likely: between(0.22, 0.5), example: "0.333", doc: "effective rolling radius: distance of one turn over 2π" + which},
			field{table: "tyres", stems: []string{p + "rolling_circumference"}, dim: dimLength, dst: &t.circum, rel: tyreStatedSD, limits: limits{0.6, 5, false}, likely: between(1.4, 3.1), example: "2.095", doc: "distance of one turn, rolled out under load" + which},
			field{table: "tyres", stems: []string{p + "wheel_inertia"}, dim: dimInertia, dst: &t.inertia, rel: 0.1, limits: limits{0, math.Inf(1), true}, likely: between(0.2, 4), example: "1.1", doc: "one wheel with tyre and disc" + which},
		)
	}
	return f
}

func helpRadius(prefix string) string {
	if prefix == "" {
		return "torque from force, slip"
	}
	return ""
}
