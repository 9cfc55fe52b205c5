package sizing

import "traplight/internal/quantity"

// Result is the whole answer, all SI. A part that is nil could not be had; Missing says why.
type Result struct {
	Car         string       `json:"car"`
	Target      float64      `json:"target_mps"` // m/s
	Length      float64      `json:"length_m"`   // m
	Power       *Power       `json:"power"`
	Engine      *Engine      `json:"engine"`
	Compressor  *Compressor  `json:"compressor"`
	Turbine     *Turbine     `json:"turbine"`
	Fuel        *Fuel        `json:"fuel"`
	Gearing     *Gearing     `json:"gearing"`
	Tyres       *Tyres       `json:"tyres"`
	Stop        *Stop        `json:"stop"`
	Assumptions []Assumption `json:"assumptions"`
	Missing     []string     `json:"missing"` // what would give more, a sentence each
	Notes       []string     `json:"notes"`
	Cautions    []string     `json:"cautions"`
}

// Basis says how a part was obtained.
type Basis struct {
	Method string `json:"method"`
	Source string `json:"source"`
}

// Power is what brings the car to the target.
type Power struct {
	Basis
	Wheel *Figure `json:"wheel_power_w"` // W, peak as the trade has it
	Crank *Figure `json:"crank_power_w"` // W, what an engine brake would hold
	Time  *Figure `json:"time_s"`        // s over the strip, from standing
	// FreeWheel is Wheel with every gear as strong as its tyres carry; nil where no boost
	// schedule holds torque back.
	FreeWheel  *Figure `json:"wheel_power_free_boost_w"` // W
	OutOfReach float64 `json:"out_of_reach"`             // 0–1, share of the draws in which no power gives the target
	OutOfGears float64 `json:"out_of_gears"`             // 0–1, of them those in which the last gear runs out
	Own        *Own    `json:"own"`
	Trades     []Trade `json:"trades"`
}

// Own is what the car's own passes said.
type Own struct {
	Passes int     `json:"passes"`
	Trap   float64 `json:"trap_mps"`      // m/s, of the best of them
	Wheel  float64 `json:"wheel_power_w"` // W, measured in it
	More   *Figure `json:"more_power"`    // 1, power needed over that, less one
}

// Trade is what a change of the car would save.
type Trade struct {
	What  string  `json:"what"`
	Crank *Figure `json:"crank_power_saved_w"` // W
}

// Engine is what the engine breathes at peak power.
type Engine struct {
	Basis
	Speed      *Figure `json:"engine_speed_rads"`        // rad/s
	Air        *Figure `json:"air_flow_kgps"`            // kg/s
	Boost      *Figure `json:"boost_pa"`                 // Pa gauge
	Manifold   *Figure `json:"manifold_pressure_pa"`     // Pa absolute
	Barometer  *Figure `json:"barometer_pa"`             // Pa absolute
	Ratio      *Figure `json:"pressure_ratio"`           // 1, over the compressor
	Outlet     *Figure `json:"compressor_outlet_temp_k"` // K
	Charge     *Figure `json:"charge_temp_k"`            // K
	Shaft      *Figure `json:"compressor_power_w"`       // W, all compressors
	MeanPress  *Figure `json:"brake_mean_pressure_pa"`   // Pa
	OverLimits []Over  `json:"over_limits"`
	// Schedule is what the sheet's own boost makes; nil where it states none.
	Schedule *Schedule `json:"schedule,omitempty"`
}

// Over is a stated limit with the chance that the target passes it.
type Over struct {
	Limit  string  `json:"limit"`
	Value  float64 `json:"value"`  // SI unit of the limit
	Chance float64 `json:"chance"` // 0–1

	Dim quantity.Dimension `json:"-"`
}

// MapPoint is one engine speed on the compressor map.
type MapPoint struct {
	Name        string  `json:"name"`
	Flow        *Figure `json:"corrected_flow_kgps"` // kg/s for one compressor, at the map's reference
	Ratio       *Figure `json:"pressure_ratio"`      // 1
	Speed       *Figure `json:"turbo_speed_rads"`    // rad/s, true
	Efficiency  *Figure `json:"efficiency"`          // 1
	SurgeMargin *Figure `json:"surge_margin"`        // 1, of the flow
	ChokeMargin *Figure `json:"choke_margin"`        // 1, of the flow
	Inside      float64 `json:"chance_inside"`       // 0–1
	Surge       float64 `json:"chance_surge"`        // 0–1
	Choke       float64 `json:"chance_choke"`        // 0–1
	TooFast     float64 `json:"chance_over_map"`     // 0–1
}

// Compressor is the match on a map, or what to look for on one.
type Compressor struct {
	Basis
	Map       string     `json:"map"`
	Turbos    int        `json:"turbos"`
	Reference [2]float64 `json:"reference_k_pa"` // K and Pa
	Points    []MapPoint `json:"points"`
	SpeedOver *Over      `json:"turbo_speed_limit"`
}

// BackPressure is what the turbine needs for one back-pressure ratio.
type BackPressure struct {
	Ratio    float64 `json:"back_pressure_ratio"`   // 1, turbine inlet over manifold, absolute
	Area     *Figure `json:"turbine_area_m2"`       // m², effective, one turbine
	Gate     *Figure `json:"wastegate_area_m2"`     // m², effective, for each turbine
	Share    *Figure `json:"wastegate_share"`       // 1, of the exhaust
	Possible float64 `json:"chance_enough_exhaust"` // 0–1, the exhaust can drive the compressor at that ratio
}

// Housing is one turbine of a file.
type Housing struct {
	Name      string  `json:"name"`
	Ratio     *Figure `json:"back_pressure_ratio"`  // 1, at peak power
	Expansion *Figure `json:"expansion_ratio"`      // 1
	Gate      *Figure `json:"wastegate_share"`      // 1, of the exhaust
	Threshold *Figure `json:"full_boost_from_rads"` // rad/s, engine speed with the gate shut
	Enough    float64 `json:"chance_enough"`        // 0–1, it drives the compressor at peak power
	OverLimit float64 `json:"chance_over_limit"`    // 0–1, of the stated or usual back-pressure ratio
	Beyond    bool    `json:"beyond_file"`          // the file does not reach that expansion ratio
}

// Turbine is the hot side.
type Turbine struct {
	Basis
	Exhaust  *Figure        `json:"exhaust_flow_kgps"`         // kg/s
	Least    *Figure        `json:"least_back_pressure_ratio"` // 1, with all exhaust through the turbine
	Limit    float64        `json:"limit_back_pressure_ratio"` // 1, of the sheet, else of practice
	Stated   bool           `json:"limit_stated"`
	Steps    []BackPressure `json:"steps"`
	AsItIs   *Figure        `json:"back_pressure_ratio_as_it_is"` // 1, with the area that the car's own passes show
	Area     *Figure        `json:"area_as_it_is_m2"`             // m²
	Housings []Housing      `json:"housings"`
	After    *Figure        `json:"engine_speed_after_shift_rads"` // rad/s, lowest at full boost
}

// Fuel is the fuel system.
type Fuel struct {
	Basis
	Name         string  `json:"name"`
	Mass         *Figure `json:"fuel_flow_kgps"`         // kg/s, nitrous's share included
	Volume       *Figure `json:"fuel_flow_m3ps"`         // m³/s
	NitrousFuel  *Figure `json:"nitrous_fuel_kgps"`      // kg/s, of Mass
	Across       float64 `json:"injector_difference_pa"` // Pa
	DutyLimit    float64 `json:"injector_duty_limit"`    // 0–1
	Needed       *Figure `json:"injectors_needed_m3ps"`  // m³/s, all, fully open, at RatedAt
	RatedAt      float64 `json:"injectors_rated_at_pa"`  // Pa
	Count        int     `json:"injector_count"`         // 0 unknown
	Each         *Figure `json:"injector_each_m3ps"`     // m³/s
	Duty         *Figure `json:"injector_duty"`          // 1, of the sheet's set
	DutyOver     float64 `json:"chance_over_duty_limit"` // 0–1
	Pump         *Figure `json:"pump_flow_m3ps"`         // m³/s, with its spare
	PumpPressure *Figure `json:"pump_pressure_pa"`       // Pa gauge, at the outlet
	PumpPower    *Figure `json:"pump_hydraulic_power_w"` // W
	PumpUse      *Figure `json:"pump_use"`               // 1, of what the sheet's pumps bring at that pressure, without spare
	PumpShort    float64 `json:"chance_pump_short"`      // 0–1, that they bring less than the engine burns
	Bore         *Figure `json:"line_bore_m"`            // m, feed
	LineLength   float64 `json:"line_length_m"`          // m
	LineLoss     float64 `json:"line_loss_limit_pa"`     // Pa
	LineSpeed    float64 `json:"line_speed_limit_mps"`   // m/s
	SpareAssumed float64 `json:"pump_spare"`             // 1
}

// Gear is one gear of the pass to the target.
type Gear struct {
	Gear       int      `json:"gear"`
	Overall    float64  `json:"overall_ratio"`           // 1
	ShiftSpeed *Figure  `json:"shift_speed_mps"`         // m/s on the road
	ShiftAt    float64  `json:"shift_engine_speed_rads"` // rad/s
	After      *Figure  `json:"engine_speed_after_rads"` // rad/s, in this gear after the shift into it
	Drop       *float64 `json:"drop"`                    // 1, of engine speed by the shift into it
	Time       *Figure  `json:"time_s"`                  // s
	Torque     *Figure  `json:"crank_torque_nm"`         // N·m, highest
	Input      *Figure  `json:"gearbox_torque_nm"`       // N·m, highest at the input shaft
	Limit      float64  `json:"gearbox_limit_nm"`        // N·m; 0 none stated
	Over       *float64 `json:"chance_over_gearbox"`     // 0–1
	Clutch     *float64 `json:"chance_over_clutch"`      // 0–1
	ByTyres    *Figure  `json:"time_by_tyres"`           // 1, share of the gear in which grip limits
	Used       float64  `json:"chance_used"`             // 0–1
}

// Gearing is the way through the gears.
type Gearing struct {
	Basis
	Gears     []Gear  `json:"gears"`
	LineGear  int     `json:"gear_at_line"`
	LineSpeed *Figure `json:"engine_speed_at_line_rads"` // rad/s
	Limiter   float64 `json:"chance_limiter"`            // 0–1, the last gear runs out before the line
	Final     *Figure `json:"final_drive_for_peak"`      // 1, that puts the line at the engine speed of peak power in the gear used
	FinalNow  float64 `json:"final_drive"`               // 1
	Clutch    float64 `json:"clutch_rating_nm"`          // N·m; 0 not stated
}

// Tyres are held against speed and load.
type Tyres struct {
	Basis
	Speed     *Figure `json:"speed_mps"`          // m/s, highest of the driven treads, slip included
	Limit     float64 `json:"limit_mps"`          // m/s; 0 not known
	Symbol    string  `json:"speed_symbol"`       // as marked; "" not known
	Within    *bool   `json:"within"`             // by the upper bound; nil when the limit is not known
	Load      *Figure `json:"load_kg"`            // kg, static, each driven tyre
	LoadLimit float64 `json:"load_limit_kg"`      // kg at that speed; 0 not known
	Spin      *Figure `json:"rim_acceleration_g"` // standard gravities at the tread
	Wheel     *Figure `json:"wheel_speed_rads"`   // rad/s
}

// StopAt is the way to stop at one deceleration.
type StopAt struct {
	G        float64 `json:"deceleration_g"` // 1, in standard gravities
	Distance *Figure `json:"distance_m"`     // m from the line, reaction included
}

// Stop is how the car stops again.
type Stop struct {
	Basis
	Steps    []StopAt   `json:"steps"`
	Distance *Figure    `json:"distance_m"` // m from the line at the braking taken
	Braking  Assumption `json:"braking"`
	ShutDown float64    `json:"shut_down_m"`      // m; 0 not stated
	TooShort *float64   `json:"chance_too_short"` // 0–1
	Kinetic  *Figure    `json:"kinetic_energy_j"` // J
	Brakes   *Figure    `json:"brake_energy_j"`   // J, after drag and rolling
	DiscRise *Figure    `json:"disc_rise_k"`      // K, of 40 kg of iron that takes all of it
}
