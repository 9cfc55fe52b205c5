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
	Humidity   float64 // 0–1; NaN unknown
	MassAdd    float64 // kg
	DragAdd    float64 // m²
	Good       bool    // nobody said it was faulty
	Air        sim.Air
	WindSD     float64 // m/s, of Air.Headwind
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
	CoastDecel float64            // m/s², steady deceleration under braking after the lift; 0 not shown

	Step   float64   // s
	T0     float64   // s from rollout, of the first sample
	X      []float64 // m
	V      []float64 // m/s
	A      []float64 // m/s²
	Engine []float64 // rad/s; NaN unknown
	Wheel  []float64 // rad/s of the driven wheels; NaN unknown
	Gear   []int     // 0 in shifts
	Full   []bool    // full throttle outside shifts
	Boost  []float64 // Pa absolute in the manifold; nil unknown
	Charge []float64 // K, as the sensor said; nil unknown
	Open   []float64 // 0–1, nitrous; nil unknown
	Spark  []float64 // rad before top dead centre; nil unknown
	Lambda []float64 // 1, mean of the sensors; nil unknown
	Back   []float64 // Pa absolute, turbine inlet; nil unknown
	Cut    []float64 // 0–1, torque cut by electronics; nil unknown

	Shifts []ShiftSeen
	Gears  []GearSeen
	Lock   int // sample at which the launch clutch has closed
}

// GearSeen is what the log says of the limits in one gear; NaN unknown.
type GearSeen struct {
	Gear    int
	Duty    float64 // 0–1, highest injector duty
	Back    float64 // 1, highest back-pressure ratio
	Turbo   float64 // rad/s, highest
	Exhaust float64 // K, highest
	Input   float64 // N·m, highest at the gearbox's input shaft
	Cut     bool    // electronics cut torque there
}

// ShiftSeen is a gear change of an observed pass.
type ShiftSeen struct {
	From, To   int
	Start, End float64 // s from rollout, torque below half
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
	o.air(p, note)
	o.outcome(p)
	o.grid(p)
	if len(o.X) < 50 {
		return nil, "less than a second of it is known"
	}
	o.channels(p, set)
	o.shifts(p)
	if !o.lock(p) {
		return nil, "the engine speed is not known well enough to see when the clutch has closed"
	}
	o.feed()
	o.CoastDecel = braking(p, set)
	o.limits(p)
	if g := p.Grip; g != nil && !math.IsNaN(g.PeakGrip.Value) && g.PeakGrip.Value > 0 {
		o.PeakGrip, o.PeakSlip, o.GripSure = &g.PeakGrip, &g.PeakSlip, g.ReachedPeak
	}
	return o, ""
}

func (o *Observation) settings(n *car.PassNote, s *car.Strip) {
	if s != nil && !math.IsNaN(s.Grade) {
		o.Grade = s.Grade
	}
	if n == nil {
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

// grid resamples motion and force to gridStep from the launch to the lift or the
// line, smoothing over half a step on either side.
func (o *Observation) grid(p *pass.Pass) {
	m, f := &p.Motion, p.Force
	end := m.Start + float64(len(m.V)-1)*m.Step
	if p.Finish != nil {
		end = min(end, p.Finish.Value+0.02)
	}
	if p.Lift != nil {
		end = min(end, *p.Lift-0.02)
	}
	if n := len(p.Gears); p.Finish == nil && p.Lift == nil && n > 0 {
		end = min(end, p.Gears[n-1].End)
	}
	o.Step = gridStep
	from := p.Launch.Value
	o.T0 = from - p.Rollout.Value
	for i := 0; ; i++ {
		t := from + float64(i)*o.Step
		if t > end {
			break
		}
		u := (t - m.Start) / m.Step
		j := int(u)
		if j < 0 || j+1 >= len(m.V) {
			continue
		}
		w := u - float64(j)
		mix := func(a []float64) float64 {
			if j+1 >= len(a) {
				return math.NaN()
			}
			return a[j]*(1-w) + a[j+1]*w
		}
		near := j
		if w > 0.5 {
			near++
		}
		o.X, o.V, o.A = append(o.X, mix(m.X)), append(o.V, mix(m.V)), append(o.A, mix(m.A))
		o.Engine, o.Wheel = append(o.Engine, mix(f.EngineSpeed)), append(o.Wheel, mix(f.WheelSpeed))
		o.Gear = append(o.Gear, f.Gear[min(near, len(f.Gear)-1)])
		o.Full = append(o.Full, near < len(f.FullThrottle) && f.FullThrottle[near])
	}
}

func (o *Observation) channels(p *pass.Pass, set *dictionary.Set) {
	if set == nil {
		return
	}
	column := func(q quantity.Name) []float64 {
		c := set.First(q)
		if c == nil || c.Trace.Len() < 20 {
			return nil
		}
		v := make([]float64, len(o.X))
		for i := range v {
			y, ok := c.Trace.At(o.time(i) + o.Rollout)
			if !ok {
				y = math.NaN()
			}
			v[i] = y
		}
		return v
	}
	o.Boost = column(quantity.ManifoldPressure)
	for _, q := range []quantity.Name{quantity.ChargeTemperature, quantity.IntakeTemperature} {
		if o.Charge == nil {
			o.Charge = column(q)
		}
	}
	o.Open = column(quantity.Nitrous)
	o.Spark, o.Lambda = column(quantity.IgnitionAngle), column(quantity.Lambda)
	o.Back, o.Cut = column(quantity.ExhaustPressure), column(quantity.TorqueCut)
}

func (o *Observation) shifts(p *pass.Pass) {
	for _, s := range p.Shifts {
		q := ShiftSeen{From: s.From, To: s.To, Start: s.Start.Value - o.Rollout, End: s.End.Value - o.Rollout, Missed: s.Missed}
		if q.Start >= o.time(len(o.X)-1) || !(q.End > q.Start) {
			continue
		}
		q.Speed = o.speedBefore(q.Start)
		if i := o.at(q.Start); o.Boost != nil {
			lo, before := math.Inf(1), o.Boost[max(0, i-5)]
			for j := i; j <= o.at(q.End); j++ {
				lo = min(lo, o.Boost[j])
			}
			q.Lifted = lo < 0.55*before
		} else {
			q.Lifted = lifted(o.Sheet)
		}
		o.Shifts = append(o.Shifts, q)
		o.enter(q)
	}
}

// enter gives the samples after a shift the gear it led to: the torque is back a quarter
// of a second before the ratio shows the gear.
func (o *Observation) enter(s ShiftSeen) {
	for i := o.at(s.Start) + 1; i < len(o.Gear) && o.time(i) < s.End+0.4 && o.Gear[i] != s.To; i++ {
		if o.time(i) < s.End {
			o.Gear[i] = 0
		} else if o.Gear[i] == s.From || o.Gear[i] == 0 {
			o.Gear[i] = s.To
		}
	}
}

// speedBefore extrapolates the engine speed, rad/s, to the beginning of a shift
// from the stretch before it: at the shift itself the logged speed already falls or
// flares.
func (o *Observation) speedBefore(t float64) float64 {
	var n, sx, sy, sxx, sxy float64
	for i := o.at(t - 0.2); o.time(i) < t-0.035; i++ {
		if e := o.Engine[i]; !math.IsNaN(e) && o.Gear[i] > 0 {
			x := o.time(i) - t
			n, sx, sy, sxx, sxy = n+1, sx+x, sy+e, sxx+x*x, sxy+x*e
		}
	}
	if n < 3 {
		return math.NaN()
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return sy/n - slope*sx/n
}

// lifted tells from the sheet whether the throttle is shut in shifts.
func lifted(s *car.Sheet) bool {
	switch {
	case contains(s.ShiftStyle, "held"), contains(s.ShiftStyle, "cut"):
		return false
	case contains(s.ShiftStyle, "lift"):
		return true
	}
	return !contains(s.Gearbox, "dog") && !contains(s.Gearbox, "sequential")
}

// lock finds where the launch clutch has closed: the first sample from which
// engine and driven wheels turn in the ratio of the first gear for 0.2 s. Without
// a wheel speed of its own, engine speed over road speed must have fallen to within
// 15 % of rolling, or stopped falling.
func (o *Observation) lock(p *pass.Pass) bool {
	g := p.Gears[0].Gear
	if g < 1 || g > len(o.Sheet.Gears) {
		return false
	}
	ratio := o.Sheet.Gears[g-1] * o.Sheet.FinalDrive
	hold := int(0.2 / o.Step)
	run := 0
	for i := range o.X {
		if o.derived(ratio, g) {
			break // a wheel speed made of the engine's says nothing about the clutch
		}
		e, w := o.Engine[i], o.Wheel[i]
		if o.V[i] < 2 || math.IsNaN(e) || o.Gear[i] == 0 && i > 0 && o.time(i) > 4 {
			run = 0
			continue
		}
		if math.IsNaN(w) {
			w = o.V[i] / o.Radius
		}
		if d := e/(w*ratio) - 1; math.Abs(d) < 0.03 {
			run++
		} else {
			run = 0
		}
		if run >= hold {
			o.Lock = i - hold + 1
			return true
		}
		if o.Gear[i] > g {
			break
		}
	}
	// engine speed alone: where it first is within 15 % of rolling
	for i := range o.X {
		if e := o.Engine[i]; o.V[i] > 4 && !math.IsNaN(e) && e*o.Radius/(ratio*o.V[i]) < 1.15 {
			o.Lock = i
			return true
		}
	}
	return false
}

// derived tells that the driven wheels' speed was worked out from the engine's: they
// then agree more exactly in the first gear than two sensors can.
func (o *Observation) derived(ratio float64, gear int) bool {
	n, same := 0, 0
	for i := range o.X {
		if o.Gear[i] != gear || o.V[i] < 2 || math.IsNaN(o.Engine[i]) || math.IsNaN(o.Wheel[i]) {
			continue
		}
		n++
		if math.Abs(o.Engine[i]/(o.Wheel[i]*ratio)-1) < 5e-4 {
			same++
		}
	}
	return n > 10 && same > n*9/10
}

// feed moves the start of the model's pass past the driver's work on the throttle in
// the first gear: what he does there belongs to the launch.
func (o *Observation) feed() {
	first := len(o.X)
	if len(o.Shifts) > 0 {
		first = o.at(o.Shifts[0].Start)
	}
	for i := o.Lock + (first-o.Lock)*3/4; i > o.Lock; i-- {
		if !o.Full[i] && o.Gear[i] > 0 {
			o.Lock = min(i+int(0.08/o.Step), len(o.X)-1)
			return
		}
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
		s := GearSeen{Gear: g.Gear, Duty: val(g.MaxInjectorDuty), Back: val(g.MaxBackPressure), Turbo: val(g.TurboSpeed),
			Exhaust: val(g.MaxExhaustTemp), Input: math.NaN(), Cut: g.LimitedBy == "torque cut"}
		if g.PeakGearboxTorque != nil {
			s.Input = g.PeakGearboxTorque.Value
		}
		o.Gears = append(o.Gears, s)
	}
}
