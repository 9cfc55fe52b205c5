package health

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/physics/air"
)

// Another day is no fault. What the air's temperature and pressure do to a relation
// beyond what its readings tell (a colder radiator, a hotter start, vapour that takes
// the oxygen's place, ignition that the computer takes back) nobody knows
// beforehand, so both are covariates of whole passes.

// airSummary is the air of a pass and how far it took the engine.
type airSummary struct {
	Temperature float64 `json:"temperature"` // K; 0 not measured
	Pressure    float64 `json:"pressure"`    // Pa absolute; 0 not measured
	Vapour      float64 `json:"vapour"`      // share of the air's molecules, 0–1; 0 not measured
	Charge      float64 `json:"charge"`      // K, the hottest charge at full throttle; 0 not measured
	Manifold    float64 `json:"manifold"`    // Pa absolute, the highest at full throttle; 0 not measured
}

// Units of the weather's covariates.
const (
	perTemperature = 15.0 // K
	perPressure    = 10e3 // Pa
	perVapour      = 0.02 // 1
)

// weatherMoves is by how much a watch's level may differ for 15 K, 10 kPa or two
// points of vapour in the air, standard deviation, unit of the watch (common
// practice, no source; wide on purpose): the relations are meant to hold in any air.
var weatherMoves = map[string]float64{
	"injectors over air": 0.015, "fuel flow over air": 0.015, "fuel trim": 0.03, "lambda": 0.012, "exhaust temperature": 18,
	"torque over air": 0.02, "ignition": 0.015, "knock level": 0.1, "charge heat": 4, "compressor heat": 4,
	"coolant heat": 1.2, "oil heat": 0.6, "gearbox heat": 0.6, "fuel heat": 0.6, "cooler water heat": 1.5, "coolant pressure": 3e3,
	"oil pressure": 8e3, "oil pressure at idle": 10e3, "crankcase pressure": 0.3e3, "turbo speed": 0.006, "back-pressure": 0.02,
	"wastegate": 0.04, "boost rise": 8e3, "boost course": 3e3, "boost short of target": 3e3, "engine over road": 0.006, "tyre slip": 0.006,
	"idle speed": 6, "idle vacuum": 2.5e3, "tyre pressure": 5e3, "voltage": 0.08, "idle voltage": 0.08,
}

// airOf is what log and note say of the day.
func (f *frame) airOf() *airSummary {
	a := &airSummary{}
	if f.ambientKnown {
		a.Temperature = f.ambient
	}
	if f.baroKnown {
		a.Pressure = f.baro
	}
	if p := f.pass.Air; p != nil && p.Source != "assumed" && p.Humidity > 0 && a.Temperature > 0 && a.Pressure > 0 {
		a.Vapour = p.Humidity * air.SaturationPressure(a.Temperature) / a.Pressure
	}
	if f.chargeKnown() {
		a.Charge = f.topAtFull(f.charge)
	}
	a.Manifold = f.topAtFull(scaled(f.boost, -f.baro, 1))
	return a
}

func (f *frame) chargeKnown() bool {
	return f.set.First("charge_temperature") != nil || f.set.First("intake_temperature") != nil
}

// topAtFull is the 0.98 quantile of a column at full throttle, its unit; 0 where there is
// none.
func (f *frame) topAtFull(x []float64) float64 {
	var v []float64
	for i, on := range f.full {
		if on && !math.IsNaN(x[i]) {
			v = append(v, x[i])
		}
	}
	if len(v) < 25 {
		return 0
	}
	return stats.Quantile(v, 0.98)
}

// farthest are the hottest charge, K, and the highest manifold pressure, Pa absolute,
// of the earlier passes; 0 not known.
func farthest(past []Summary) (charge, manifold float64) {
	for _, s := range past {
		if s.Air != nil {
			charge, manifold = max(charge, s.Air.Charge), max(manifold, s.Air.Manifold)
		}
	}
	return charge, manifold
}

// weatherApart are the covariates of the air in which this pass differs from the
// usual of the earlier ones by more than their days' own course makes of no account.
func (f *frame) weatherApart(past []Summary) []covariate {
	const (
		leastTemperature = 6.0   // K
		leastPressure    = 2.5e3 // Pa
		leastVapour      = 0.006
	)
	own := f.airOf()
	var out []covariate
	add := func(name string, of func(a *airSummary) float64, per, least float64) {
		now := of(own)
		if !(now > 0) {
			return
		}
		c, off := covariate{name: name, level: func(l *look) float64 { return byWatch(weatherMoves, l.id) }, slopes: overLoadAndSudden}, []float64{}
		for _, s := range past {
			d := 0.0
			if s.Air != nil && of(s.Air) > 0 {
				d = (of(s.Air) - now) / per
				off = append(off, d*per)
			}
			c.apart = append(c.apart, d)
		}
		if len(off) > 0 && math.Abs(stats.Median(off)) > least {
			out = append(out, c)
		}
	}
	add("temperature", func(a *airSummary) float64 { return a.Temperature }, perTemperature, leastTemperature)
	add("pressure", func(a *airSummary) float64 { return a.Pressure }, perPressure, leastPressure)
	add("vapour", func(a *airSummary) float64 { return a.Vapour }, perVapour, leastVapour)
	return out
}

// overLoadAndSudden lets what hangs on time in the gear and on the boost's rate
// move too: cold air is fuelled otherwise when it comes suddenly.
func overLoadAndSudden(t term, level float64) float64 {
	if sudden[t.name] {
		return min(level, t.sd/4)
	}
	return overLoad(t, level)
}

// sudden are the terms that tell what happens within a second or so, in which
// delays of sensors and of the mixture show.
var sudden = map[string]bool{"boost rate": true, "early": true, "time in gear": true, "rotor": true, "acceleration": true, "tail": true}
