// Package pass holds what is known of one pass: its motion, gears, shifts,
// torque and the chapters built on them. It computes nothing.
//
// All times are in seconds on the log's run clock (trace.Clock converts);
// all other values are in SI. A pointer that is nil means "could not be
// obtained", with the reason in Notes.
package pass

import "traplight/internal/quantity"

// Window is a stretch of time.
type Window struct {
	From, To float64 // s, run clock
}

// Motion is the car's movement on a uniform grid.
type Motion struct {
	Start, Step float64   // s, run clock: sample i is at Start + i·Step
	X           []float64 // m from the staged position
	V           []float64 // m/s
	A           []float64 // m/s²
	VSD         []float64 // m/s, standard deviation of V
	ASD         []float64 // m/s², standard deviation of A
}

// Split is a mark on the strip.
type Split struct {
	Mark     string            // "60 ft", "330 ft", "1/8 mile", "1000 ft", "1/4 mile", "1/2 mile", "1 km", "1 mile"
	Distance float64           // m from the staged position
	At       float64           // s, run clock
	Time     quantity.Estimate // s from rollout
	Speed    quantity.Estimate // m/s
}

// Shift is one gear change.
type Shift struct {
	From, To    int
	Start, End  quantity.Estimate  // s, run clock: hub torque falls through half, rises through half
	BoostBefore *float64           // Pa gauge
	BoostMin    *float64           // Pa gauge
	BoostTarget *float64           // Pa gauge, of the new gear
	Recovery    *quantity.Estimate // s; nil when not reached in that gear
	ToTarget    *quantity.Estimate // s to 95 % of the new target; nil when not reached
	Missed      bool
	NitrousTime *float64 // s of nitrous from the shift's end to the next shift; nil without a channel for it
}

// TakeUp is how the clutch took the car up at the launch.
type TakeUp struct {
	EngineSpeed *quantity.Estimate // rad/s held at the line, just before the launch
	Boost       *float64           // Pa gauge, there
	Closed      *quantity.Estimate // s, run clock: engine and driven wheels turn together from here on
	ClosedAt    *float64           // rad/s, engine speed there
	ClosedBoost *float64           // Pa gauge, there
	Lowest      *float64           // rad/s, lowest engine speed from the launch until the clutch has closed and turned the engine up again
	Spun        *float64           // s of tyre slip past the peak of grip in the launch's gear, throttle open; nil without a peak or wheel speeds
}

// GearSpan is the time spent in one gear and what was measured in it. Means run
// over FullThrottle.
type GearSpan struct {
	Gear         int
	Start, End   float64  // s, run clock: from clutch release (first gear) or the shift's end, to the next shift's start or the lift
	FullThrottle []Window // outside shifts

	PeakHubTorque, MeanHubTorque *quantity.Estimate // N·m
	PeakWheelTorque              *quantity.Estimate // N·m
	MeanWheelTorque              *quantity.Estimate // N·m
	MeanCrankTorque              *quantity.Estimate // N·m
	PeakGearboxTorque            *quantity.Estimate // N·m, input shaft
	PeakSlip, MeanSlip           *quantity.Estimate // 1
	UsedGripMax, UsedGripMean    *float64           // 1, drive force over driven-axle load
	CeilingHubTorque             *quantity.Estimate // N·m, LowerBound when the peak was not reached
	CeilingEstimate              *quantity.Estimate // N·m, an estimate with an honest spread beside a bound
	CeilingWheelTorque           *quantity.Estimate // N·m
	LimitedBy                    string             // "grip", "torque cut", "boost target", "engine", "clutch", "driver" or ""

	MeanBoost           *float64 // Pa gauge
	BoostTarget         *float64 // Pa gauge
	Lambda              *float64 // 1
	Ignition            *float64 // rad before top dead centre
	MaxExhaustTemp      *float64 // K
	ChargeTempEnd       *float64 // K
	MaxInjectorDuty     *float64 // 0–1
	MaxFuelFlow         *float64 // kg/s, highest by a flow meter
	MinFuelOverManifold *float64 // Pa
	MaxBackPressure     *float64 // 1, ratio
	MeanBackPressure    *float64 // 1, ratio
	LoadedBackPressure  *float64 // 1, ratio, highest with boost up
	TurboSpeed          *float64 // rad/s, highest
	ShiftEngineSpeed    *float64 // rad/s where the driver began the shift out of this gear
}

// Power is the pass's peak wheel power and the state of the engine there.
type Power struct {
	PeakWheel         quantity.Estimate // W
	EngineSpeed       float64           // rad/s
	At                float64           // s, run clock
	Gear              int
	Crank             *quantity.Estimate // W, from motion
	FuelFlow          *float64           // kg/s
	ByFuel            *quantity.Estimate // W at the crank
	BackPressureRatio *float64           // 1
}

// Air is the air of the pass.
type Air struct {
	Density         quantity.Estimate // kg/m³
	DensityAltitude float64           // m
	CorrectionJ1349 *float64          // 1
	Temperature     float64           // K
	Pressure        float64           // Pa absolute
	Humidity        float64           // 0–1
	Source          string            // "notes", "log", "assumed"
}

// Pass is one run.
type Pass struct {
	Index        int                // 0-based in the log, in time order
	Late         bool               // the log begins behind the launch: Launch and Rollout say nothing, distances count from the log's start
	Launch       quantity.Estimate  // s, run clock: first movement for good
	Rollout      quantity.Estimate  // s, run clock
	Finish       *quantity.Estimate // s, run clock, at the strip's length
	Lift         *float64           // s, run clock, start of the final lift
	Complete     bool
	Splits       []Split
	Trap         *quantity.Estimate // m/s mean over the window
	TrapWindow   float64            // m
	TrapIfNoLift *quantity.Estimate // m/s, when the driver lifted before the line
	Length       float64            // m

	Motion  Motion
	TakeUp  *TakeUp
	Gears   []GearSpan
	Shifts  []Shift
	Power   *Power
	Air     *Air
	Force   *Force
	Grip    *Grip
	AirPath *AirPath
	Fuel    *Fuel
	Learnt  Learnt
	Sensors []string // what was learnt of the sensors, a sentence each
	Notes   []string
}

// Learnt is what this pass, by itself, says of the sensors and of the car: it serves
// as prior knowledge for the car's other passes.
type Learnt struct {
	Constants  map[string]quantity.Estimate // by name, each in its own unit (package motion)
	DragArea   quantity.Estimate            // m²
	DragPrior  quantity.Estimate            // m², what was believed before
	Efficiency *quantity.Estimate           // 1, brake efficiency as Fuel.Efficiency has it
}

// Force is drive force and torque on Motion's grid.
type Force struct {
	TyreForce    []float64 // N at the driven tyres' contact
	HubTorque    []float64 // N·m
	HubSD        []float64 // N·m, standard deviation of HubTorque (50 ms mean)
	WheelSpeed   []float64 // rad/s, driven wheels; NaN where not known
	Slip         []float64 // 1; NaN where v < 3 m/s or not known
	DrivenLoad   []float64 // N, vertical load on the driven axle (all wheels for all-wheel drive)
	EngineSpeed  []float64 // rad/s smoothed on the grid; NaN where not known
	Gear         []int     // gear by sample; 0 when none or in a shift
	Radius       float64   // m, effective rolling radius of the driven tyres near standstill
	Growth       float64   // 1/(m/s)², relative growth of the radius per speed squared
	FullThrottle []bool    // by sample, outside shifts
}

// Grip is the fitted longitudinal tyre curve: used grip against slip.
type Grip struct {
	Slip, Used           []float64         // points for the picture: 1, 1
	CurveSlip, CurveGrip []float64         // fitted curve: 1, 1
	PeakSlip             quantity.Estimate // 1
	PeakGrip             quantity.Estimate // 1
	ReachedPeak          bool
}
