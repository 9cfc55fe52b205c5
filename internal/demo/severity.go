package demo

import (
	"math"
	"sync"
)

// graded are the severities of a kind: subtle, moderate, gross; how fast it
// comes; whether it may be there from the first sample.
type graded struct {
	s      [3]float64
	unit   string
	ramp   float64 // s, 0: at once
	always bool
}

var gradedBy = map[Kind]graded{
	CylinderDown:      {[3]float64{0.45, 0.75, 1.0}, "share of one cylinder's fire lost", 0.05, true},
	IgnitionFault:     {[3]float64{0.05, 0.12, 0.28}, "share of ignitions lost at 150 kPa of boost", 0.5, false},
	BoostLeak:         {[3]float64{1.0e-4, 2.0e-4, 3.8e-4}, "hole area m2", 0.05, false},
	Underboost:        {[3]float64{0.45, 0.58, 0.80}, "least lift of the wastegate", 0.2, true},
	Overboost:         {[3]float64{0.50, 0.62, 0.75}, "share of the wastegate's lift out of reach", 0.2, true},
	TurboOverspeed:    {[3]float64{3, 6, 12}, "added share of the inlet's loss", 0.3, true},
	TurbineChoke:      {[3]float64{0.14, 0.26, 0.42}, "share of turbine area lost", 0.3, true},
	FuelSupply:        {[3]float64{0.015, 0.05, 0.13}, "share of pump capacity lost beyond its reserve", 2.5, true},
	MixtureLean:       {[3]float64{0.04, 0.07, 0.12}, "share of fuel lost", 1.0, false},
	MixtureImbalance:  {[3]float64{0.05, 0.09, 0.16}, "share of fuel lost in the first bank", 0.8, true},
	OilSupply:         {[3]float64{0.14, 0.28, 0.55}, "share of oil pressure lost", 1.5, true},
	CoolantPressure:   {[3]float64{0.06, 0.15, 0.40}, "coolant pressure over boost", 0.8, true},
	CrankcasePressure: {[3]float64{0.5, 1.5, 4.5}, "added share of blow-by", 0.6, true},
	Overheat:          {[3]float64{0.45, 0.70, 0.98}, "share of cooling lost", 1, true},
	ChargeHeat:        {[3]float64{0.16, 0.32, 0.65}, "share of charge cooling lost", 1, true},
	KnockFault:        {[3]float64{3.8, 5.2, 7.5}, "degrees of knock margin lost", 1, true},
	NitrousFault:      {[3]float64{0.25, 0.50, 0.95}, "share of nitrous flow lost", 0, true},
	ThrottleFault:     {[3]float64{0.42, 0.55, 0.70}, "share of opening lost", 0.1, true},
	ClutchSlip:        {[3]float64{0.97, 0.90, 0.76}, "clutch capacity over the highest torque", 0.8, false},
	DrivelineFault:    {[3]float64{0.03, 0.06, 0.12}, "share of hub torque lost", 0.5, true},
	TyreFault:         {[3]float64{0.20, 0.45, 0.85}, "share of tyre pressure lost", 2, true},
	ElectricalFault:   {[3]float64{0.9, 1.8, 3.0}, "V lost", 1, true},
	SensorFault:       {[3]float64{1, 2, 4}, "grades of the mode", 0, true},
}

// MakeFault draws a fault of a kind and grade that this car can have; ok is
// false when it cannot (nitrous without a bottle, a bank that is not there).
func (c Car) MakeFault(kind Kind, grade Grade, seed uint64) (f Fault, ok bool) {
	g, known := gradedBy[kind]
	if !known || kind == NitrousFault && c.p.n2oFlow == 0 || kind == MixtureImbalance && c.p.banks < 2 {
		return Fault{}, false
	}
	r := stream(seed, "fault")
	k := map[Grade]int{Subtle: 0, Moderate: 1, Gross: 2}[grade]
	v := g.s[k] * (1 + 0.10*clamp(r.NormFloat64(), -1.5, 1.5))
	f = Fault{Kind: kind, Grade: grade, Severity: v, Unit: g.unit, Ramp: g.ramp, After: 2.5 + 8*r.Float64()}
	f.Always = g.always && r.Float64() < 0.35
	switch kind {
	case CylinderDown:
		f.Severity = math.Min(v, 1)
	case BoostLeak:
		f.Severity *= c.spec.airPeak / 0.8
	case Underboost, Overboost, ThrottleFault:
		f.Severity = math.Min(v, 0.97)
	case Overheat, NitrousFault, TyreFault:
		f.Severity = math.Min(v, 1)
	case FuelSupply:
		// Its own reserve first, then the grade.
		spare := 1 - c.habit().fuel/(c.p.pumpFlow*c.p.fuel.density)
		f.Severity = clamp(spare+v, 0.02, 0.95)
		f.Unit = "share of pump capacity lost"
		f.After = 2 + 4*r.Float64()
	case ClutchSlip:
		// The clutch comes to carry less than the engine gives.
		f.Severity = clamp(1-g.s[k]*(1+0.02*r.NormFloat64())*c.habit().torque/c.p.clutchTorque, 0, 0.95)
		f.Unit = "share of clutch capacity lost"
		f.After = 4 + 4*r.Float64()
	case SensorFault:
		c.sensorOf(&f, k, r.IntN(1<<30))
	}
	return f, true
}

// sensorOf chooses the channel and the way in which a sensor fails.
func (c Car) sensorOf(f *Fault, k, pick int) {
	kinds := []struct {
		q      string
		drift  float64 // SI for grade subtle
		scale  float64
		dead   float64
		noise  float64
		inPoor bool
	}{
		{"map", 9e3, 0.04, 1e3, 6e3, true},
		{"oil_pressure", -60e3, -0.15, 0, 50e3, false},
		{"fuel_pressure", -50e3, -0.10, 0, 45e3, false},
		{"coolant_temp", 9, 0.03, 233, 5, true},
		{"lambda_1", 0.04, 0.05, 0.5, 0.03, true},
		{"coolant_pressure", 25e3, 0.3, 0, 15e3, false},
		{"intake_temp", 12, 0.04, 233, 6, true},
		{"throttle", -0.06, -0.07, 0, 0.05, true},
	}
	poor := c.spec.sensors == "poor" || c.spec.sensors == "satellite"
	for {
		s := kinds[pick%len(kinds)]
		if poor && !s.inPoor {
			pick++
			continue
		}
		f.Channel = s.q
		mode := [][]string{{"drift", "scale"}, {"noise", "stuck", "drift"}, {"dead", "spikes", "stuck"}}[k]
		f.Mode = mode[(pick/8)%len(mode)]
		m := []float64{1, 2, 4}[k]
		switch f.Mode {
		case "drift":
			f.Severity, f.Ramp, f.Unit = s.drift*m, 3, "SI, after 3 s"
		case "scale":
			f.Severity, f.Unit = s.scale*m, "share"
		case "noise":
			f.Severity, f.Unit = s.noise*m/2, "SI, standard deviation"
		case "spikes":
			f.Severity, f.Unit = s.noise*8, "SI"
		case "dead":
			f.Severity, f.Unit = s.dead, "SI"
		case "stuck":
			f.Severity, f.Unit, f.Always = 0, "held", false
		}
		return
	}
}

// habit is what the car usually asks of its parts, from one ordinary run.
type habit struct{ torque, fuel float64 }

var habits sync.Map // by car

func (c Car) habit() habit {
	key := c.ID + c.Text
	if h, ok := habits.Load(key); ok {
		return h.(habit)
	}
	set := c.Usual()
	set.Nitrous = c.p.n2oFlow > 0
	p := c.plan(PassOptions{Settings: &set, Weather: &Weather{AirTemp: 285, Pressure: 101.3e3, Humidity: 0.5}}, 1)
	p.stopAt = p.strip.Length
	p.preface = false
	s := p.simulate()
	h := habit{}
	for i := range s.out.samples {
		q := &s.out.samples[i]
		if q.phase == int8(phRun) && q.locked && q.t > s.drv.tRelease+2 {
			h.fuel = math.Max(h.fuel, float64(q.fuel))
			if q.gear >= int8(len(c.p.gears)-1) && q.throttle > 0.9 && q.cut < 0.01 {
				h.torque = math.Max(h.torque, float64(q.crank))
			}
		}
	}
	habits.Store(key, h)
	return h
}
