// Package report assembles the one answer for a log and prints it: as JSON with
// fixed names and as text for a terminal. It computes nothing that the pass
// does not hold; it only converts, orders, rounds and says what is missing.
//
// The types of this file are the JSON: names and units are fixed, all SI, and
// docs/report-json.md describes them. What could not be obtained is null, with
// its reason in notes. Times named *_s are on the log's own clock unless the
// field says otherwise.
package report

// Report is the answer for one log, or for several given together.
type Report struct {
	Car    string    `json:"car" jsonschema:"the car's name from its sheet; of several cars all names, a comma between"`
	Units  *string   `json:"units" jsonschema:"us or metric: what the car's people think in; the JSON itself is all SI"`
	Notes  []string  `json:"notes" jsonschema:"what was assumed, what could not be obtained and why, a sentence each; first what of sheet and notes was not read, then doubts whether log and sheet are of one car"`
	Log    LogInfo   `json:"log" jsonschema:"the log; the first one when several were given"`
	Logs   []LogInfo `json:"logs,omitempty" jsonschema:"every log, only when several were given"`
	Passes []Pass    `json:"passes" jsonschema:"the passes found, in the order of the logs and of time"`
	Tracks []Track   `json:"track_record,omitempty" jsonschema:"how the recorded forecasts of each car came out so far; absent without any"`
}

// LogInfo describes a log file.
type LogInfo struct {
	File      string    `json:"file" jsonschema:"base name"`
	SHA256    string    `json:"sha256" jsonschema:"of the file's bytes as they came, lower-case hexadecimal"`
	Start     *string   `json:"start" jsonschema:"date and time of the start as far as the file tells, ISO 8601"`
	DurationS *float64  `json:"duration_s" jsonschema:"s, from the first row to the last, clock steps repaired"`
	Channels  []Channel `json:"channels" jsonschema:"in the file's order"`
}

// Channel is a column of the log with its meaning.
type Channel struct {
	Name       string   `json:"name" jsonschema:"as in the file"`
	Quantity   *string  `json:"quantity" jsonschema:"what it measures; null when not recognised"`
	Index      *int     `json:"index" jsonschema:"bank, cylinder or sensor number from 1; null when there is but one"`
	Unit       string   `json:"unit" jsonschema:"the unit as understood"`
	RateHz     *float64 `json:"rate_hz" jsonschema:"Hz, the rate at which its value was really refreshed"`
	Confidence float64  `json:"confidence" jsonschema:"0 to 1, that quantity and unit are right"`
	Problems   []string `json:"problems" jsonschema:"what is wrong with its samples, in the log's own clock"`
}

// Pass is one run from a standing start.
type Pass struct {
	File         string    `json:"file" jsonschema:"the log it lies in"`
	Car          string    `json:"car" jsonschema:"the car's name from its sheet"`
	Index        int       `json:"index" jsonschema:"number within that log from 0, in time order"`
	LaunchS      *float64  `json:"launch_s" jsonschema:"s, log's own clock: first movement for good, past 0.1 m/s"`
	LaunchSDS    *float64  `json:"launch_sd_s" jsonschema:"s, standard deviation"`
	RolloutS     *float64  `json:"rollout_s" jsonschema:"s, log's own clock: the rollout has been covered"`
	RolloutSDS   *float64  `json:"rollout_sd_s" jsonschema:"s"`
	FinishS      *float64  `json:"finish_s" jsonschema:"s, log's own clock: at the strip's length; null when it was not reached"`
	FinishSDS    *float64  `json:"finish_sd_s" jsonschema:"s"`
	LiftS        *float64  `json:"lift_s" jsonschema:"s, log's own clock: start of the final lift; null when the log ends before"`
	Complete     bool      `json:"complete" jsonschema:"the line was reached without giving up"`
	DistanceM    *float64  `json:"distance_m" jsonschema:"m, the strip's length"`
	Splits       []Split   `json:"splits"`
	Trap         *Trap     `json:"trap"`
	TrapIfNoLift *Trap     `json:"trap_if_no_lift" jsonschema:"what the trap would have read without the lift before the line; null when there was none"`
	TakeUp       *TakeUp   `json:"take_up" jsonschema:"how the clutch took the car up at the launch; null when engine speed and gears do not tell"`
	Gears        []Gear    `json:"gears"`
	Shifts       []Shift   `json:"shifts"`
	Power        *Power    `json:"power"`
	Air          *Air      `json:"air"`
	Grip         *Grip     `json:"grip" jsonschema:"the fitted longitudinal tyre curve"`
	Ledger       []Ledger  `json:"ledger"`
	Health       *Health   `json:"health"`
	Foretold     *Foretold `json:"foretold,omitempty" jsonschema:"what was forecast of this pass and how it came out; absent when no forecast was written down and scored"`
	AirPath      *AirPath  `json:"air_path"`
	Fuel         *Fuel     `json:"fuel"`
	Setup        []Setting `json:"setup" jsonschema:"with which settings it was run"`
	Sensors      []string  `json:"sensors" jsonschema:"what was learnt of the sensors, a sentence each"`
	Notes        []string  `json:"notes" jsonschema:"this pass's part of the report's notes"`
}

// Split is a mark on the strip.
type Split struct {
	Mark       string   `json:"mark"`
	DistanceM  *float64 `json:"distance_m" jsonschema:"m from where the car stood at launch"`
	TimeS      *float64 `json:"time_s" jsonschema:"s from rollout"`
	SpeedMps   *float64 `json:"speed_mps" jsonschema:"m/s at the mark"`
	TimeSDS    *float64 `json:"time_sd_s" jsonschema:"s"`
	SpeedSDMps *float64 `json:"speed_sd_mps" jsonschema:"m/s"`
	AtS        *float64 `json:"at_s" jsonschema:"s, log's own clock"`
}

// Trap is a mean speed over the strip's trap.
type Trap struct {
	SpeedMps *float64 `json:"speed_mps" jsonschema:"m/s, length of the window over the time between its ends"`
	SDMps    *float64 `json:"sd_mps" jsonschema:"m/s"`
	WindowM  *float64 `json:"window_m" jsonschema:"m before the line"`
}

// TakeUp is how the clutch took the car up at the launch.
type TakeUp struct {
	EngineSpeed   *float64 `json:"engine_speed_rads" jsonschema:"rad/s held at the line"`
	EngineSpeedSD *float64 `json:"engine_speed_sd_rads" jsonschema:"rad/s"`
	Boost         *float64 `json:"boost_pa" jsonschema:"Pa gauge, held at the line"`
	ClosedS       *float64 `json:"closed_s" jsonschema:"s, log's own clock: engine and driven wheels turn together from here on"`
	ClosedSDS     *float64 `json:"closed_sd_s" jsonschema:"s"`
	TookS         *float64 `json:"took_s" jsonschema:"s from the launch to there, clock steps repaired"`
	ClosedEngine  *float64 `json:"closed_engine_speed_rads" jsonschema:"rad/s"`
	ClosedBoost   *float64 `json:"closed_boost_pa" jsonschema:"Pa gauge"`
	ClosedMps     *float64 `json:"closed_mps" jsonschema:"m/s, the car's speed there"`
	LowestEngine  *float64 `json:"lowest_engine_speed_rads" jsonschema:"rad/s, lowest from the launch until just after that"`
	SpunS         *float64 `json:"spun_s" jsonschema:"s of tyre slip past the peak of grip in the launch's gear"`
}

// Gear is the time in one gear; means run over the full-throttle time outside
// shifts.
type Gear struct {
	Gear              int      `json:"gear"`
	StartS            *float64 `json:"start_s" jsonschema:"s, log's own clock"`
	EndS              *float64 `json:"end_s" jsonschema:"s, log's own clock"`
	StartM            *float64 `json:"start_m" jsonschema:"m from where the car stood at launch"`
	EndM              *float64 `json:"end_m" jsonschema:"m"`
	StartMps          *float64 `json:"start_mps" jsonschema:"m/s"`
	EndMps            *float64 `json:"end_mps" jsonschema:"m/s"`
	FullThrottleS     *float64 `json:"full_throttle_s" jsonschema:"s at full throttle outside shifts"`
	PeakHubTorque     *float64 `json:"peak_hub_torque_nm" jsonschema:"N·m, highest mean over 0.1 s"`
	PeakHubTorqueSD   *float64 `json:"peak_hub_torque_sd_nm" jsonschema:"N·m"`
	MeanHubTorque     *float64 `json:"mean_hub_torque_nm" jsonschema:"N·m"`
	MeanHubTorqueSD   *float64 `json:"mean_hub_torque_sd_nm" jsonschema:"N·m"`
	PeakWheelTorque   *float64 `json:"peak_wheel_torque_nm" jsonschema:"N·m, hub torque over the overall ratio"`
	PeakWheelTorqueSD *float64 `json:"peak_wheel_torque_sd_nm" jsonschema:"N·m"`
	MeanWheelTorque   *float64 `json:"mean_wheel_torque_nm" jsonschema:"N·m"`
	MeanWheelTorqueSD *float64 `json:"mean_wheel_torque_sd_nm" jsonschema:"N·m"`
	MeanCrankTorque   *float64 `json:"mean_crank_torque_nm" jsonschema:"N·m, what an engine brake would hold steady"`
	MeanCrankTorqueSD *float64 `json:"mean_crank_torque_sd_nm" jsonschema:"N·m"`
	PeakGearboxTorque *float64 `json:"peak_gearbox_torque_nm" jsonschema:"N·m at the input shaft"`
	PeakGearboxSD     *float64 `json:"peak_gearbox_torque_sd_nm" jsonschema:"N·m"`
	PeakSlip          *float64 `json:"peak_slip" jsonschema:"ratio, mean over 50 ms, of the driven tyres"`
	PeakSlipSD        *float64 `json:"peak_slip_sd" jsonschema:"ratio"`
	MeanSlip          *float64 `json:"mean_slip" jsonschema:"ratio"`
	MeanSlipSD        *float64 `json:"mean_slip_sd" jsonschema:"ratio"`
	UsedGripMax       *float64 `json:"used_grip_max" jsonschema:"ratio, drive force over driven-axle load"`
	UsedGripMean      *float64 `json:"used_grip_mean" jsonschema:"ratio"`
	CeilingHub        *float64 `json:"ceiling_hub_torque_nm" jsonschema:"N·m, the torque that the tyres carry; 'at least' when ceiling_is_lower_bound"`
	CeilingHubSD      *float64 `json:"ceiling_hub_sd_nm" jsonschema:"N·m"`
	CeilingWheel      *float64 `json:"ceiling_wheel_torque_nm" jsonschema:"N·m"`
	CeilingWheelSD    *float64 `json:"ceiling_wheel_sd_nm" jsonschema:"N·m"`
	CeilingIsBound    *bool    `json:"ceiling_is_lower_bound" jsonschema:"the slip of peak grip was not passed: the tyres carry at least this"`
	CeilingEstimate   *float64 `json:"ceiling_estimate_nm" jsonschema:"N·m at the hubs, an estimate beside the bound"`
	CeilingEstimateSD *float64 `json:"ceiling_estimate_sd_nm" jsonschema:"N·m"`
	LimitedBy         *string  `json:"limited_by" jsonschema:"grip, torque cut, boost target, engine, clutch or driver"`

	MeanBoost           *float64 `json:"mean_boost_pa" jsonschema:"Pa gauge"`
	BoostTarget         *float64 `json:"boost_target_pa" jsonschema:"Pa gauge"`
	Lambda              *float64 `json:"lambda" jsonschema:"ratio"`
	Ignition            *float64 `json:"ignition_rad" jsonschema:"rad before top dead centre"`
	MaxExhaustTemp      *float64 `json:"max_exhaust_temp_k" jsonschema:"K"`
	ChargeTempEnd       *float64 `json:"charge_temp_end_k" jsonschema:"K at the end of the gear"`
	MaxInjectorDuty     *float64 `json:"max_injector_duty" jsonschema:"0 to 1"`
	MinFuelOverManifold *float64 `json:"min_fuel_over_manifold_pa" jsonschema:"Pa, fuel pressure over manifold pressure"`
	MaxBackPressure     *float64 `json:"max_back_pressure_ratio" jsonschema:"ratio, turbine inlet over intake manifold, absolute"`
	MeanBackPressure    *float64 `json:"mean_back_pressure_ratio" jsonschema:"ratio"`
	TurboSpeed          *float64 `json:"turbo_speed_rads" jsonschema:"rad/s, highest"`
	ShiftEngineSpeed    *float64 `json:"shift_engine_speed_rads" jsonschema:"rad/s where the driver began the shift out of this gear"`
}

// Shift is one gear change.
type Shift struct {
	From        int      `json:"from"`
	To          int      `json:"to"`
	StartS      *float64 `json:"start_s" jsonschema:"s, log's own clock: hub torque falls through half of what it was"`
	EndS        *float64 `json:"end_s" jsonschema:"s, log's own clock: hub torque rises through half of what it becomes"`
	StartSDS    *float64 `json:"start_sd_s" jsonschema:"s"`
	EndSDS      *float64 `json:"end_sd_s" jsonschema:"s"`
	AtM         *float64 `json:"at_m" jsonschema:"m from where the car stood at launch, at the shift's start"`
	SpeedMps    *float64 `json:"speed_mps" jsonschema:"m/s at the shift's start"`
	DurationS   *float64 `json:"duration_s" jsonschema:"s from start to end, clock steps repaired"`
	BoostBefore *float64 `json:"boost_before_pa" jsonschema:"Pa gauge"`
	BoostMin    *float64 `json:"boost_min_pa" jsonschema:"Pa gauge, lowest in the shift and the recovery"`
	BoostTarget *float64 `json:"boost_target_pa" jsonschema:"Pa gauge, of the new gear"`
	RecoveryS   *float64 `json:"recovery_s" jsonschema:"s from the shift's end to 95 % of the lesser of the boost before and the new target; 0 if never below; null if not reached in that gear"`
	RecoverySDS *float64 `json:"recovery_sd_s" jsonschema:"s"`
	ToTargetS   *float64 `json:"recovery_to_target_s" jsonschema:"s from the shift's end to 95 % of the new target"`
	ToTargetSDS *float64 `json:"recovery_to_target_sd_s" jsonschema:"s"`
	Missed      bool     `json:"missed" jsonschema:"the gear was missed at first"`
	NitrousS    *float64 `json:"nitrous_s" jsonschema:"s of nitrous from the shift's end to the next shift, while boost recovered; null when no channel tells"`
}

// Power is the pass's peak wheel power and the engine's state there.
type Power struct {
	PeakWheelW        *float64 `json:"peak_wheel_w" jsonschema:"W at the driven hubs, highest mean over 0.1 s at full throttle, at least 0.5 s after a shift"`
	PeakWheelSDW      *float64 `json:"peak_wheel_sd_w" jsonschema:"W"`
	EngineSpeed       *float64 `json:"engine_speed_rads" jsonschema:"rad/s"`
	AtS               *float64 `json:"at_s" jsonschema:"s, log's own clock"`
	Gear              *int     `json:"gear"`
	CrankW            *float64 `json:"crank_w" jsonschema:"W at the crank, from the car's motion"`
	CrankSDW          *float64 `json:"crank_sd_w" jsonschema:"W"`
	FuelFlow          *float64 `json:"fuel_flow_kgps" jsonschema:"kg/s"`
	ByFuelW           *float64 `json:"by_fuel_w" jsonschema:"W at the crank, from the fuel burnt"`
	ByFuelSDW         *float64 `json:"by_fuel_sd_w" jsonschema:"W"`
	BackPressureRatio *float64 `json:"back_pressure_ratio" jsonschema:"ratio"`
}

// Ledger is one line of the account of trap speed lost.
type Ledger struct {
	Cause    string   `json:"cause"`
	Group    string   `json:"group" jsonschema:"ours or given"`
	SpeedMps *float64 `json:"speed_mps" jsonschema:"m/s at the trap, the fair share within its group"`
	SDMps    *float64 `json:"sd_mps" jsonschema:"m/s"`
	AloneMps *float64 `json:"alone_mps" jsonschema:"m/s at the trap if this cause alone were ideal"`
	AloneSD  *float64 `json:"alone_sd_mps,omitempty" jsonschema:"m/s, standard deviation of alone_mps"`
}
