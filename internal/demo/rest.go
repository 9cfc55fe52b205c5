package demo

import "math"

// rest keeps the car where it has stopped, in neutral, the foot off everything.
func (s *sim) rest(el float64) {
	s.gear, s.clutch, s.pedal, s.brake = 0, 1, 0, 0.3
	s.locked = false
	if el > s.events.IdleAfter {
		s.drv.done = true
	}
}

// gasSeeps is how slowly combustion gas that a head gasket has let into the coolant
// finds its way out again, s.
const gasSeeps = 90.0

// moods are what differs from pass to pass on a healthy car that idles, drawn only
// where a pass holds such a time.
type moods struct {
	load float64 // V that lamps, pumps and fans cost
	aim  float64 // rad/s by which the idle is set higher
	fill float64 // share by which the coolant's pressure is higher: level, cap
}

func drawMoods(seed uint64, ev DriverEvents) moods {
	if ev.IdleBefore == 0 && ev.IdleAfter == 0 {
		return moods{}
	}
	r := stream(seed, "rest")
	n := func(sd float64) float64 { return clamp(r.NormFloat64(), -2.5, 2.5) * sd }
	return moods{load: 0.25 * r.Float64(), aim: n(25 * rpm), fill: n(0.05)}
}

// Resting names the faults that show most while the engine idles, as modes of a
// kind: gas that stays in the coolant, a worn bearing that lets the oil run off, a
// manifold that is not tight, a belt that slips at low speed.
func Resting() map[string]Kind {
	return map[string]Kind{"gas stays": CoolantPressure, "worn bearing": OilSupply, "manifold leak": BoostLeak, "slack belt": ElectricalFault}
}

var restGrades = map[string]graded{
	"gas stays":     {[3]float64{0.010, 0.025, 0.060}, "coolant pressure a second over boost", 0.5, false},
	"worn bearing":  {[3]float64{0.25, 0.55, 1.2}, "share by which oil runs off faster", 0, true},
	"manifold leak": {[3]float64{1.0e-5, 2.2e-5, 5.0e-5}, "hole area m2", 0, true},
	"slack belt":    {[3]float64{0.4, 0.65, 1.0}, "V lost at idle", 0, true},
}

// MakeResting draws a fault that shows while the engine idles; ok is false for a
// mode that Resting does not know. Those that only a pass brings about begin in it,
// the others are there from the log's first sample.
func (c Car) MakeResting(mode string, grade Grade, seed uint64) (f Fault, ok bool) {
	g, known := restGrades[mode]
	if !known {
		return Fault{}, false
	}
	r := stream(seed, "resting fault")
	k := map[Grade]int{Subtle: 0, Moderate: 1, Gross: 2}[grade]
	v := g.s[k] * (1 + 0.10*clamp(r.NormFloat64(), -1.5, 1.5))
	return Fault{Kind: Resting()[mode], Mode: mode, Grade: grade, Severity: v, Unit: g.unit, Ramp: g.ramp, Always: g.always, After: 1 + 4*r.Float64()}, true
}

// resting sets the effect of a fault of the modes of Resting; false for any other.
func (f *Fault) resting(x *effect, v float64) bool {
	switch f.Mode {
	case "gas stays":
		x.gasStays = v
	case "worn bearing":
		x.wornBearing = v
	case "manifold leak":
		x.holeManifold = v
	case "slack belt":
		x.slackBelt = v
	default:
		return false
	}
	return true
}

// restSignals are read while the engine idles, with the change of their mean that
// counts as visible.
var restSignals = []struct {
	name      string
	threshold float64
	get       func(*sample) float64
}{
	{"oil_pressure", 25e3, func(s *sample) float64 { return float64(s.pOil) }},
	{"coolant_pressure", 8e3, func(s *sample) float64 { return float64(s.pCool) }},
	{"map", 6e3, func(s *sample) float64 { return float64(s.pM) }},
	{"rpm", 150 * rpm, func(s *sample) float64 { return float64(s.wE) }},
	{"battery_voltage", 0.3, func(s *sample) float64 { return float64(s.volts) }},
}

// atRest is by how much the means of signals at idle are off the twin's, before the
// pass and after it; only what is beyond its threshold is listed.
func (t *teller) atRest(twin *teller) js {
	out := js{}
	for _, part := range []struct {
		name  string
		phase phase
	}{{"before", phIdle}, {"after", phRest}} {
		o := js{}
		for _, sg := range restSignals {
			d := t.restMean(part.phase, sg.get) - twin.restMean(part.phase, sg.get)
			if math.Abs(d) > sg.threshold {
				o[sg.name] = num(d)
			}
		}
		out[part.name] = o
	}
	return out
}

// restMean is the mean of a signal over a phase of rest without its first 3 s; NaN
// where there is none.
func (t *teller) restMean(ph phase, get func(*sample) float64) float64 {
	sum, n, from := 0.0, 0.0, math.NaN()
	for i := range t.ss {
		q := &t.ss[i]
		if q.phase != int8(ph) {
			continue
		}
		if math.IsNaN(from) {
			from = q.t
		}
		if q.t > from+3 {
			sum, n = sum+get(q), n+1
		}
	}
	return sum / n
}
