package sim

// Air is the air of a pass.
type Air struct {
	Density     float64 // kg/m³
	Temperature float64 // K
	Pressure    float64 // Pa absolute
	Headwind    float64 // m/s
}

// Start is the car when the launch clutch has closed.
type Start struct {
	Time  float64 // s from rollout
	X     float64 // m from the staged position
	V     float64 // m/s
	Wheel float64 // rad/s of the driven wheels; 0 means rolling without slip
	Head  float64 // 1
	Core  float64 // K, by which the charge is hotter than with the cooler as at the launch
	Gear  int     // from 1
	Bite  Bite    // of the launch clutch on the way here; zero unknown
	Spun  float64 // s of slip past the tyres' peak on the way here
}

// Ideal switches causes off, for counterfactual passes.
type Ideal struct {
	Grip   bool // tyres carry any force without slip
	Shifts bool // shifts take no time and cost no boost
	Lag    bool // boost is at its target at once, wherever the control settles beside it and be it under what the wastegate's spring holds
	Drag   bool // no air drag
}

// Pass is one pass to run: settings, driver and surroundings.
type Pass struct {
	Start  Start
	Air    Air
	Grade  float64   // rise over run
	Length float64   // m
	Window float64   // m, of the trap
	Target []float64 // Pa gauge by gear
	// TargetRise, if set, is by how much the target has risen, Pa by gear, when the
	// engine reaches the gear's shift speed (in the last gear the limiter's), evenly in
	// the compressor's head over engine speed from where the gear began.
	TargetRise  []float64
	ShiftSpeed  []float64 // rad/s by gear, engine speed where the torque falls; the last gear has none
	ShiftTime   []float64 // s by shift, torque below half
	TorqueScale []float64 // 1 by gear; nil means 1
	GripScale   float64   // 1; 0 means 1
	Nitrous     bool
	LiftTime    float64 // s after Start at which the driver lifts for good; 0 never
	Ideal       Ideal
	// Grip, if set, multiplies what the tyres carry along the strip, 1.
	Grip *Along
	// Spin, if set, is the slip with which the wheels come out of a shift into each gear, 1 by
	// gear, as far as the engine's surplus momentum can turn them up; nil means they roll. The
	// energy books do not know of it.
	Spin []float64
	// GuardSlip, if positive, is the slip above which the driver or electronics hold
	// the torque back (see Car.SlipCut), 1.
	GuardSlip float64
}

// Gear is what happened in one gear.
type Gear struct {
	Gear      int
	T0, T1    float64 // s from rollout
	X0, X1    float64 // m
	V0, V1    float64 // m/s
	Speed0    float64 // rad/s, engine
	Speed1    float64 // rad/s, engine
	MaxTorque float64 // N·m at the crank
	MaxInput  float64 // N·m at the gearbox's input shaft
	MaxBoost  float64 // Pa gauge
	EndBoost  float64 // Pa gauge
	MaxSlip   float64 // 1
	PastPeak  float64 // s with slip beyond the peak's; in the first gear since the tyres first held
	// Lasting is ln of the tyres' slip over that at which they carry most, exceeded for Lasts in
	// all: over 0 where PastPeak is over Lasts; in the first gear since the tyres first held.
	Lasting      float64
	MaxHead      float64 // 1
	Cut          float64 // 0–1, highest share of torque that was cut on slip
	MaxFlow      float64 // 1, engine flow over the reference
	FlowBoost    float64 // Pa gauge, boost at that flow
	MaxPower     float64 // W, crank
	MeanUse      float64 // 1, used grip over available grip, mean over time
	MaxUse       float64 // 1
	Goal         float64 // Pa gauge, 95 % of the boost target; where that goes with engine speed, at the gear's last
	Reached      bool    // boost came to its goal
	Bite         Bite    // of the clutch on entering this gear: after the shift, in the first gear at the launch
	RecoveryTime float64 // s from entering the gear to 95 % of its target; negative when not reached
}

// PeakInput is the highest torque at the gearbox's input shaft in the gear, N·m: of the
// pull and of the clutch's bite.
func (g *Gear) PeakInput() float64 { return max(g.MaxInput, g.Bite.Torque) }

// Result is a simulated pass. Times count from rollout.
type Result struct {
	Complete   bool
	Trap       float64   // m/s, mean over the window
	Instant    float64   // m/s at the line
	Time       float64   // s at the line
	Top        float64   // m/s, highest speed
	MarkTime   []float64 // s by mark of Runner.Marks; NaN when not reached
	MarkSpeed  []float64 // m/s
	Gears      []Gear
	Books      *Books
	Points     []Point
	Evaluation int
}

// Point is a stored instant.
type Point struct {
	T, X, V     float64 // s from rollout, m, m/s
	Wheel       float64 // rad/s
	EngineSpeed float64 // rad/s
	Boost       float64 // Pa gauge
	Force       float64 // N, of the driven tyres
	Torque      float64 // N·m, crank
	Slip        float64 // 1
	Gear        int
}
