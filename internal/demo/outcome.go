package demo

// Outcome is what a run brought, without logs.
type Outcome struct {
	Complete    bool
	Trap        float64            // m/s, mean over the trap
	TrapAtLine  float64            // m/s, at the line
	TimeMove    float64            // s to the line from first movement
	TimeRollout float64            // s to the line from rollout
	Marks       map[string]float64 // s from rollout, by mark as in the truth
	Exceeded    []string           // limits passed, by name
	MaxTurbo    float64            // rad/s
	MaxDuty     float64            // 0–1
	MaxBackPres float64            // 1, turbine inlet over manifold, both absolute
	MaxBoost    float64            // Pa gauge
	MaxCrank    float64            // W, 0.1 s mean
	MaxInput    []float64          // N·m at the gearbox input by gear, 30 ms mean
	MaxWheel    float64            // m/s, highest tread speed of the driven tyres
	Pedals      int                // lifts in wheelspin
	KnockPulses float64            // 1
	Energy      Energy
}

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
	r := Outcome{Marks: map[string]float64{}, MaxTurbo: o.maxTurbo, MaxDuty: o.maxDuty, MaxBackPres: o.maxBPR, MaxBoost: o.maxBoost,
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
	return r
}
