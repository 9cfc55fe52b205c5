package demo

import "math"

// Outcome is what a run brought, without logs.
type Outcome struct {
	Complete    bool
	Trap        float64            // m/s, mean over the trap
	TrapAtLine  float64            // m/s, at the line
	TimeMove    float64            // s to the line from first movement
	TimeRollout float64            // s to the line from rollout
	Marks       map[string]float64 // s from rollout, by mark as in the truth
	Strains     []Strain           // how near it came to each hard limit
	Exceeded    []string           // names of those passed
	PastPeak    []float64          // s by gear at full throttle with tyre slip past the peak of grip
	BoostShort  []float64          // Pa by gear, target (where it goes with engine speed, its least) less the highest boost in that gear; 0 when reached
	Stopping    float64            // m from the line to a stop by this driver's braking, without the help of drag
	MaxTurbo    float64            // rad/s
	MaxDuty     float64            // 0–1
	MaxPump     float64            // 1, fuel that the injectors would take with the rail where it belongs over what the pump brings there, smoothed over 0.1 s; short from 1 on
	MaxLean     float64            // 1, leaner bank's lambda over its target at full throttle, smoothed over 0.1 s
	MaxBackPres float64            // 1, turbine inlet over manifold, both absolute, at full throttle from where a gear's manifold has 0.85 of its highest pressure, smoothed over 0.1 s
	MaxBoost    float64            // Pa gauge
	MaxCrank    float64            // W, smoothed over some 0.06 s
	MaxExhaust  float64            // K, before the turbine
	MaxInput    []float64          // N·m at the gearbox input by gear, smoothed over 0.03 s, shifts and the clutch's bite left out
	MaxWheel    float64            // m/s, highest tread speed of the driven tyres
	Pedals      int                // lifts in wheelspin
	Knocks      int                // knock events
	Energy      Energy
}

// Strain is how near a run came to one hard limit.
type Strain struct {
	Name  string  // "boost", "gearbox torque", "injector duty", "fuel supply", "mixture lean", "back pressure", "turbo speed", "crank power", "exhaust temperature", "tyre speed", "shut-down"
	Share float64 // 1, of the limit; passed beyond 1
}

// leanMost is how far, 1, lambda may stray over its target under load for some 0.1 s before a
// tuner would call the mixture lean and a protection cut. Common practice, no source. What the
// rail loses for less is no harm: it holds fuel for some 0.06 s, and the pump comes after it.
const leanMost = 1.05

// Run runs one pass without writing a log, from the launch to the line.
func Run(c Car, o PassOptions, seed uint64) Outcome {
	p := c.plan(o, seed)
	p.fast, p.preface = true, false
	p.stopAt = p.strip.Length + 0.5
	return p.simulate().outcome(c)
}

var markNames = [8]string{"60ft", "330ft", "eighth_mile", "1000ft", "quarter_mile", "half_mile", "1km", "mile"}

func (s *sim) outcome(c Car) Outcome {
	o := &s.out
	r := Outcome{Marks: map[string]float64{}, MaxTurbo: o.maxTurbo, MaxDuty: o.maxDuty, MaxPump: o.maxPump, MaxLean: o.maxLean, MaxBoost: o.maxBoost,
		MaxCrank: o.maxCrank, MaxInput: o.maxIn, MaxWheel: o.maxWheelV, Pedals: len(s.drv.pedals), Energy: s.energy}
	r.Complete = o.line.ok && !s.drv.lifted
	if o.line.ok && o.trapIn.ok {
		r.Trap = trapLen / (o.line.t - o.trapIn.t)
		r.TrapAtLine = o.line.v
		r.TimeMove = o.line.t - o.tLaunch
		r.TimeRollout = o.line.t - o.tRollout
	}
	for i, m := range o.marks {
		if m.ok {
			r.Marks[markNames[i]] = m.t - o.tRollout
		}
	}
	r.MaxExhaust, r.Knocks = o.maxEx, s.knocks
	v := math.Max(r.TrapAtLine, o.vMax)
	a := s.brakeDecel * s.hand.brakeHard
	r.Stopping = s.hand.liftAfter + v*(s.hand.brakeAfter+0.2) + v*v/(2*a)
	for g := range s.gears {
		r.MaxBackPres = math.Max(r.MaxBackPres, o.back[g].most())
		r.PastPeak = append(r.PastPeak, o.pastPeak[g])
		short := 0.0
		if o.gearBoost[g] > 0 {
			least := 0.0
			if g < len(s.set.Courses) && s.set.Courses[g].Speed[1] > 0 {
				c := &s.set.Courses[g]
				least = min(c.Boost[0], c.Boost[1]) - s.set.Boost[min(g, len(s.set.Boost)-1)]
			}
			short = math.Max(0, s.targetFor(g+1)+least-o.gearBoost[g])
		}
		r.BoostShort = append(r.BoostShort, short)
	}
	r.Strains = c.strains(&r, s.strip.ShutDown)
	for _, x := range r.Strains {
		if x.Share > 1 {
			r.Exceeded = append(r.Exceeded, x.Name)
		}
	}
	return r
}

// strains holds a run against the hard limits.
func (c Car) strains(r *Outcome, shutDown float64) (out []Strain) {
	l := c.Limits()
	in := 0.0
	for _, t := range r.MaxInput {
		in = math.Max(in, t)
	}
	for _, x := range []struct {
		name        string
		value, most float64
	}{{"boost", r.MaxBoost, l.Boost}, {"gearbox torque", in, l.GearboxTorque}, {"injector duty", r.MaxDuty, l.InjectorDuty},
		{"fuel supply", r.MaxPump, 1}, {"mixture lean", r.MaxLean, leanMost}, {"back pressure", r.MaxBackPres, l.BackPressure},
		{"turbo speed", r.MaxTurbo, l.TurboSpeed}, {"crank power", r.MaxCrank, l.CrankPower},
		{"exhaust temperature", r.MaxExhaust, l.ExhaustTemp}, {"tyre speed", r.MaxWheel, l.TyreSpeed}, {"shut-down", r.Stopping, shutDown}} {
		if x.most > 0 {
			out = append(out, Strain{x.name, x.value / x.most})
		}
	}
	return out
}
