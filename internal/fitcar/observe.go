package fitcar

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// Observation is one pass as the fit needs it: a uniform grid from the launch to
// the lift or the line, whichever comes first, with what was measured there.
type Observation struct {
	ID    string
	File  string
	Index int     // 0-based, in the file
	Hour  float64 // h, from any common origin; how far apart passes lie

	Sheet      *car.Sheet
	Target     []float64 // Pa gauge by gear; nil unknown
	ShiftAim   []float64 // rad/s by gear; nil unknown
	Nitrous    bool
	Cold       float64 // Pa gauge, cold tyre pressure; NaN unknown
	LaunchAim  float64 // rad/s, engine speed aimed at for the launch; 0 unknown
	LaunchSeen float64 // rad/s, engine speed held at the line as the log shows it; 0 unknown
	LineBoost  float64 // Pa absolute in the manifold at the line; 0 unknown
	Humidity   float64 // 0–1; NaN unknown
	MassAdd    float64 // kg
	DragAdd    float64 // m²
	Good       bool    // nobody said it was faulty
	Finding    string  // what the health screen found on it, its kind; "" nothing, or it was not asked
	FoundFrom  float64 // s from rollout, since when; meaningless without Finding
	Slight     bool    // what was found is subtle, or of a kind that costs no torque
	mended     bool    // what came after a finding has been left out
	Unnoted    bool    // nothing of it is written down
	Air        sim.Air
	WindSD     float64 // m/s, of Air.Headwind
	Strip      string  // id; "" unknown
	Grade      float64 // rise over run
	Length     float64 // m
	Window     float64 // m
	Rollout    float64 // s, run clock
	Launch     float64 // s, run clock
	Trap       float64 // m/s; NaN when the line was not reached at full throttle
	TrapSD     float64 // m/s
	Finish     float64 // s from rollout; NaN when not reached
	Complete   bool
	PeakGrip   *quantity.Estimate // 1
	PeakSlip   *quantity.Estimate // 1
	GripSure   bool               // the peak was reached
	Radius     float64            // m, effective rolling radius near standstill
	Growth     float64            // 1/(m/s)²
	CoastDecel float64            // m/s², steady deceleration by the brakes alone after the lift; 0 not shown
	ExhaustLag float64            // s, of the exhaust's sensors with the throttle shut after the line; 0 not shown

	Step   float64   // s
	T0     float64   // s from rollout, of the first sample
	X      []float64 // m
	V      []float64 // m/s
	VSD    []float64 // m/s, standard deviation of V; nil unknown
	A      []float64 // m/s²
	Engine []float64 // rad/s; NaN unknown
	Wheel  []float64 // rad/s of the driven wheels; NaN unknown
	Unseen bool      // no sensor shows the driven wheels: Wheel was worked out from engine or road
	Gear   []int     // 0 in shifts
	Full   []bool    // full throttle outside shifts
	Boost  []float64 // Pa absolute in the manifold; nil unknown
	Charge []float64 // K, as the sensor said; nil unknown
	Open   []float64 // 0–1, nitrous; nil unknown
	Spark  []float64 // rad before top dead centre; nil unknown
	Lambda []float64 // 1, mean of the sensors; nil unknown
	Back   []float64 // Pa absolute, turbine inlet; nil unknown
	Cut    []float64 // 0–1, torque cut by electronics; nil unknown
	Volts  float64   // V, mean at full throttle; 0 not shown
	// Exhaust is the gas before the turbine as its sensors read it, K; nil unknown.
	Exhaust []float64

	Shifts []ShiftSeen
	Gears  []GearSeen
	Lock   int // sample at which the launch clutch has closed
}

// GearSeen is what the log says of the limits in one gear; NaN unknown.
type GearSeen struct {
	Gear    int
	Duty    float64 // 0–1, highest injector duty
	Flow    float64 // kg/s, highest fuel flow by a flow meter
	Back    float64 // 1, highest back-pressure ratio with boost up
	Turbo   float64 // rad/s, highest
	Exhaust float64 // K, highest
	Input   float64 // N·m, highest at the gearbox's input shaft
	Pull    float64 // N·m, the same once the clutch has closed and settled
	Cut     bool    // electronics cut torque there
}

// ShiftSeen is a gear change of an observed pass.
type ShiftSeen struct {
	From, To   int
	Start, End float64 // s from rollout, torque below half
	SD         float64 // s, standard deviation of End − Start; 0 unknown
	Speed      float64 // rad/s, engine, where the torque fell through half
	Missed     bool
	Lifted     bool // manifold pressure collapsed
}

// at is the sample index of a time from rollout, s, held to the grid.
func (o *Observation) at(t float64) int {
	i := int(math.Round((t - o.T0) / o.Step))
	return max(0, min(i, len(o.X)-1))
}

func (o *Observation) time(i int) float64 { return o.T0 + float64(i)*o.Step }

// shiftOut is the shift out of a gear, nil when there was none.
func (o *Observation) shiftOut(gear int) *ShiftSeen {
	for i := range o.Shifts {
		if o.Shifts[i].From == gear {
			return &o.Shifts[i]
		}
	}
	return nil
}

const (
	windPrior   = 1.5  // m/s, spread of headwinds along strips in passes that are run; common practice, no source
	windUnknown = 1.3  // m/s, spread when nobody measured the wind
	gridStep    = 0.02 // s
)

// Headwind combines a stated headwind, m/s, and its standard deviation, m/s, with
// the spread of winds at which people race. NaN means nobody measured.
func Headwind(stated, sd float64) (mean, meanSD float64) {
	if math.IsNaN(stated) {
		return 0, windUnknown
	}
	if math.IsNaN(sd) || sd <= 0 {
		sd = 0.8
	}
	k := windPrior * windPrior / (windPrior*windPrior + sd*sd)
	return k * stated, math.Sqrt(k) * sd
}

// WindUnknown tells that nobody measured the wind along the strip.
func (o *Observation) WindUnknown() bool { return o.WindSD >= windUnknown }

// Observe prepares pass p of a log for fitting. set may be nil (no boost is then
// known); note may be nil. The reason is given when the pass cannot teach anything.
func Observe(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, note *car.PassNote, strip *car.Strip) (*Observation, string) {
	if p.Force == nil || len(p.Motion.V) == 0 || len(p.Gears) == 0 {
		return nil, "it has no torque or gears"
	}
	o := &Observation{Index: p.Index, Sheet: sheet, Cold: math.NaN(), Humidity: math.NaN(), Good: true, Trap: math.NaN(), Finish: math.NaN(), Length: p.Length, Window: p.TrapWindow, Rollout: p.Rollout.Value,
		Launch: p.Launch.Value - p.Rollout.Value, Radius: p.Force.Radius, Growth: p.Force.Growth, Complete: p.Complete}
	if o.Window <= 0 {
		o.Window = 20.1168
	}
	o.settings(note, strip)
	if note == nil || len(note.BoostTarget) == 0 {
		o.targets(p, set)
	}
	o.air(p, note)
	o.outcome(p)
	o.grid(p)
	if len(o.X) < 50 {
		return nil, "less than a second of it is known"
	}
	o.channels(p, set)
	o.atLine(p, set)
	o.shifts(p)
	if !o.lock(p) {
		return nil, "the engine speed is not known well enough to see when the clutch has closed"
	}
	o.feed()
	o.CoastDecel = o.braking(p, set)
	o.ExhaustLag = exhaustLag(p, set)
	o.limits(p)
	if g := p.Grip; g != nil && !math.IsNaN(g.PeakGrip.Value) && g.PeakGrip.Value > 0 {
		o.PeakGrip, o.PeakSlip, o.GripSure = &g.PeakGrip, &g.PeakSlip, g.ReachedPeak
	}
	return o, ""
}

func (o *Observation) settings(n *car.PassNote, s *car.Strip) {
	if s != nil {
		o.Strip = s.ID
		if !math.IsNaN(s.Grade) {
			o.Grade = s.Grade
		}
	}
	if n == nil {
		o.Unnoted = true
		o.Target = o.Sheet.UsualBoost
		o.ShiftAim = o.Sheet.UsualShiftSpeed
		return
	}
	o.ID, o.File = n.ID, n.File
	o.Target, o.ShiftAim, o.Cold, o.MassAdd = n.BoostTarget, n.ShiftAim, n.ColdPressure, n.MassAdd
	if o.Target == nil {
		o.Target = o.Sheet.UsualBoost
	}
	if o.ShiftAim == nil {
		o.ShiftAim = o.Sheet.UsualShiftSpeed
	}
	o.Nitrous = n.Nitrous != nil && *n.Nitrous
	o.Good = n.Good == nil || *n.Good
	if h := Hours(n.When); !math.IsNaN(h) {
		o.Hour = h
	}
	o.Index = n.Index
	if n.LaunchSpeed > 0 {
		o.LaunchAim = n.LaunchSpeed
	}
}

func (o *Observation) air(p *pass.Pass, n *car.PassNote) {
	o.Air = sim.Air{Density: 1.2, Temperature: 293, Pressure: 101e3}
	if p.Air != nil {
		o.Air.Density, o.Air.Temperature, o.Air.Pressure = p.Air.Density.Value, p.Air.Temperature, p.Air.Pressure
		o.Humidity = p.Air.Humidity
	}
	wind, sd := math.NaN(), math.NaN()
	if n != nil {
		wind, sd = n.Weather.Headwind, n.Weather.HeadwindS
	}
	o.Air.Headwind, o.WindSD = Headwind(wind, sd)
}

func (o *Observation) outcome(p *pass.Pass) {
	if p.Trap != nil && p.Complete {
		o.Trap, o.TrapSD = p.Trap.Value, p.Trap.SD
	}
	if p.Finish != nil && p.Complete {
		o.Finish = p.Finish.Value - p.Rollout.Value
	}
}

// limits keeps what the log says of the car's limits, gear by gear.
func (o *Observation) limits(p *pass.Pass) {
	val := func(x *float64) float64 {
		if x == nil {
			return math.NaN()
		}
		return *x
	}
	for i := range p.Gears {
		g := &p.Gears[i]
		s := GearSeen{Gear: g.Gear, Duty: val(g.MaxInjectorDuty), Flow: val(g.MaxFuelFlow), Back: val(g.LoadedBackPressure), Turbo: val(g.TurboSpeed),
			Exhaust: val(g.MaxExhaustTemp), Input: math.NaN(), Pull: o.pullTorque(p, g.Gear), Cut: g.LimitedBy == "torque cut"}
		if g.PeakGearboxTorque != nil {
			s.Input = g.PeakGearboxTorque.Value
		}
		o.Gears = append(o.Gears, s)
	}
}
