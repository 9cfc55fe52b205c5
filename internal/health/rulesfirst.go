package health

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Rules for any engine that also tell on a car's first pass. Their figures are common
// practice without a source unless said.
const (
	inletMost    = 6.2e3 // Pa lost before the compressor: the trade's 25 inches of water, at which filters are changed
	crankMost    = 10e3  // Pa gauge in the crankcase: beyond one pound, with something for the gauge
	cylinderMost = 110.0 // K that one cylinder's exhaust may be colder or hotter than the others'; half of that is usual
	// Oil pressure for each 1000 rpm that sends to look, and that stands the car down: seven and six
	// of the ten pounds that the trade asks for. 62 to 82 kPa is the least on 80 healthy passes of
	// invented cars, about 70 in the open logs. Beyond oilSpeed the relief valve, set for 50 to 65
	// pounds, holds what the pump brings.
	oilLeast    = 48.3e3 // Pa
	oilLow      = 41.4e3 // Pa
	oilSpeed    = 785.4  // rad/s, 7500 rpm
	waterMost   = 200e3  // Pa gauge in the coolant: caps hold 100 to 150, the pump adds the rest
	waterGauge  = 80e3   // Pa, under every barometer at which cars race: what reads less is gauge pressure
	standardAir = 101325 // Pa
	leanUnder   = 0.92   // lambda at more than one bar of boost
	waterRising = 373.15 // K from which the coolant must not go on rising with air through the radiator
	risenBy     = 2.0    // K in risenIn
	risenIn     = 2.0    // s
	// A coolant that came up by warmedBy in the pass, is over warmedTo, where every thermostat
	// is open and the most air goes through the radiator, and still rises by warmingBy in
	// risenIn, gives off less than it must. No healthy pass of the invented cars comes to 363 K,
	// none of the open logs to 366 K, and there it rises by 10 to 13 K in the pass.
	warmedTo  = 368.15 // K
	warmedBy  = 15.0   // K
	warmingBy = 2.4    // K
	// Nor does one give off what it must that rises by fastBy over fastTo, where few thermostats
	// are not yet open; it is sent to be looked at. In the open logs it rises by 1.7 K at most there.
	fastTo   = 365.15 // K
	fastFrom = 10.0   // K
	fastBy   = 3.0    // K
)

// common holds those rules.
func (j *judge) common() []breach {
	var out []breach
	add := func(kind Kind, sev Severity, held float64, c *dictionary.Channel, score float64, on func(i int) bool, text string, args ...any) {
		if from, ok := j.lasting(held, on); ok {
			out = append(out, breach{kind, sev, from, names(c), fmt.Sprintf(text, args...), score, false, false})
		}
	}
	w := j.opts.Units
	kelvins := &observation{look: &look{spec: spec{measure: ofTemperature}}}
	hot := func(i int) bool { return j.full[i] && j.since[i] > 0.9 && j.boost[i] > 50e3 }
	if c := j.set.First(quantity.CompressorInletPressure); c != nil {
		x := j.column(c)
		if rest, ok := j.standing(x); ok {
			on := func(i int) bool { return hot(i) && rest-x[i] > inletMost }
			add(TurboOverspeed, Moderate, 0.4, c, ofPractice, on,
				"pressure before the compressor more than %s under what it was at rest, up to %s: filter or duct is blocked", w.Pressure(inletMost), w.Pressure(rest-j.went(0.1, of(x), on)))
		}
	}
	if c := j.set.First(quantity.CrankcasePressure); c != nil {
		x := j.column(c)
		on := func(i int) bool { return hot(i) && x[i] > crankMost && x[i] < 95e3 }
		add(CrankcasePressure, Moderate, 0.6, c, ofPractice, on, "crankcase pressure over %s, up to %s", w.Pressure(crankMost), w.Pressure(j.went(0.9, of(x), on)))
	}
	if b, ok := j.oilFalls(); ok {
		out = append(out, b)
	}
	if c := j.set.First(quantity.OilPressure); c != nil {
		x := j.column(c)
		for _, s := range []struct {
			sev   Severity
			least float64 // Pa
		}{{Moderate, oilLow}, {Subtle, oilLeast}} {
			on := func(i int) bool {
				return j.speed[i] > 300 && j.t[i] > j.launch-3 && x[i] < s.least*min(j.speed[i], oilSpeed)/104.72
			}
			n := len(out)
			if add(OilSupply, s.sev, 1, c, ofPractice, on, "oil pressure under %s for each 1000 rpm, %s at %s", w.Pressure(s.least), w.Pressure(j.went(0.5, of(x), on)), w.Rotation(j.went(0.5, of(j.speed), on))); len(out) > n {
				break
			}
		}
	}
	if c := j.set.First(quantity.CoolantPressure); c != nil {
		x, most := j.column(c), waterMost
		if low := slices.Min(c.Trace.V); !(low < waterGauge) { // it may count from a vacuum
			most += standardAir
		}
		on := func(i int) bool { return x[i] > most }
		add(CoolantPressure, Moderate, 0.5, c, ofPractice, on, "coolant pressure over %s, up to %s", w.Pressure(most), w.Pressure(j.went(0.9, of(x), on)))
	}
	for _, c := range j.lone(quantity.Lambda) {
		x := j.column(c)
		on := func(i int) bool { return hot(i) && j.boost[i] > 100e3 && x[i] > leanUnder && x[i] < 1.45 }
		add(MixtureLean, Moderate, 0.5, c, ofPractice, on,
			"%s leaner than %s at more than %s of boost, up to %s", c.Name, w.Mixture(leanUnder), w.Pressure(100e3), w.Mixture(j.went(0.9, of(x), on)))
	}
	if c := j.set.First(quantity.CoolantTemperature); c != nil {
		x := j.column(c)
		back := int(risenIn / cell)
		add(Overheat, Moderate, 0.4, c, ofPractice, func(i int) bool {
			return i >= back && j.v[i] > 25 && x[i] > waterRising && x[i] < 450 && x[i]-x[i-back] > risenBy
		}, "coolant over %s and still rising", w.Temperature(waterRising))
		cold := j.atLaunch(x)
		add(Overheat, Moderate, 0.4, c, ofPractice, func(i int) bool {
			return i >= back && j.v[i] > 25 && x[i] > warmedTo && x[i] < waterRising && x[i]-cold > warmedBy && x[i]-x[i-back] > warmingBy
		}, "coolant over %s, %s more than at the launch, and still rising", w.Temperature(warmedTo), j.size(kelvins, warmedBy))
	}
	if b, ok := j.followsBoost(); ok {
		out = append(out, b)
	}
	if b, ok := j.warmsMore(); ok {
		out = append(out, b)
	}
	if c := j.set.First(quantity.CoolantTemperature); c != nil { // behind what tells more of the same
		x := j.column(c)
		cold, back := j.atLaunch(x), int(risenIn/cell)
		add(Overheat, Subtle, 0.4, c, ofPractice, func(i int) bool {
			return i >= back && j.v[i] > 25 && x[i] > fastTo && x[i] < waterRising && x[i]-cold > fastFrom && x[i]-x[i-back] > fastBy
		}, "coolant over %s, and still rising by more than %s in %.0f s", w.Temperature(fastTo), j.size(kelvins, fastBy), risenIn)
	}
	if b, ok := j.uncooled(hot); ok {
		out = append(out, b)
	}
	if b, ok := j.cameFree(); ok {
		out = append(out, b)
	}
	out = append(out, j.unevenAxles()...)
	out = append(out, j.leanerWithMore()...)
	return append(out, j.oneCylinder(hot)...)
}

// standing is a reading's median before the launch, the engine idling.
func (j *judge) standing(x []float64) (float64, bool) {
	var rest []float64
	for i, on := range j.idle {
		if on && !math.IsNaN(x[i]) {
			rest = append(rest, x[i])
		}
	}
	if len(rest) < 25 {
		return nan(), false
	}
	return stats.Median(rest), true
}

// oneCylinder is one exhaust temperature far from all others: with four pipes or
// more one pipe is one cylinder, or nearly. Far colder is one that does not fire.
func (j *judge) oneCylinder(hot func(i int) bool) []breach {
	cs := j.lone(quantity.ExhaustTemperature)
	if len(cs) < 4 {
		return nil
	}
	cols := make([][]float64, len(cs))
	for i, c := range cs {
		cols[i] = j.column(c)
	}
	var out []breach
	for k, c := range cs {
		o := others(cols, k)
		for _, s := range []struct {
			kind Kind
			sign float64
			word string
		}{{CylinderDown, -1, "colder"}, {MixtureImbalance, 1, "hotter"}} {
			if from, ok := j.lasting(0.8, func(i int) bool { return hot(i) && s.sign*(cols[k][i]-o[i]) > cylinderMost }); ok {
				text := fmt.Sprintf("%s %s than the other cylinders by more than %s", c.Name, s.word, j.size(&observation{look: &look{spec: spec{measure: ofTemperature}}}, cylinderMost))
				out = append(out, breach{s.kind, Moderate, from, names(c), text, ofPractice, false, false})
			}
		}
	}
	return out
}

// coldCylinder names a finding that rests on one exhaust pipe far colder than the
// others by what makes it so: no mixture that burns does.
func (j *judge) coldCylinder() {
	for _, b := range j.limits {
		if b.kind != CylinderDown {
			continue
		}
		for i := range j.findings {
			f := &j.findings[i]
			if f.Kind != MixtureImbalance && f.Kind != Sensor {
				continue
			}
			for id := range f.covers {
				if strings.HasPrefix(id, "exhaust apart") {
					f.Kind, f.LookAt = CylinderDown, lookAt[CylinderDown]
				}
			}
		}
	}
}
