package dictionary

import (
	"math"

	"traplight/internal/quantity"
)

// unitPrior lists, by dimension, the units that loggers use when they do not
// say, with how common they are.
var unitPrior = map[quantity.Dimension][]unitChance{
	quantity.DimPressure:     {{"kPa", 1}, {"bar", 0.9}, {"psi", 0.9}, {"mbar", 0.4}, {"Pa", 0.15}, {"inHg", 0.2}, {"kg/cm2", 0.15}, {"MPa", 0.1}},
	quantity.DimTemperature:  {{"°C", 1}, {"°F", 0.7}, {"K", 0.3}},
	quantity.DimSpeed:        {{"km/h", 1}, {"mph", 0.8}, {"m/s", 0.5}, {"kn", 0.1}, {"ft/s", 0.03}},
	quantity.DimRotation:     {{"rpm", 1}, {"krpm", 0.2}, {"rad/s", 0.1}},
	quantity.DimAngle:        {{"deg", 1}, {"rad", 0.2}},
	quantity.DimShare:        {{"%", 1}, {"0-1", 0.6}},
	quantity.DimMixture:      {{"lambda", 1}, {"AFR", 1}},
	quantity.DimAcceleration: {{"g", 1}, {"m/s2", 0.9}, {"mg", 0.1}},
	quantity.DimVoltage:      {{"V", 1}, {"mV", 0.3}},
	quantity.DimMassFlow:     {{"kg/h", 1}, {"g/s", 0.9}, {"lb/min", 0.5}, {"lb/h", 0.4}, {"kg/s", 0.1}, {"kg/min", 0.1}},
	quantity.DimVolumeFlow:   {{"L/min", 1}, {"L/h", 1}, {"gal/h", 0.6}, {"cc/min", 0.6}},
	quantity.DimLength:       {{"mm", 1}, {"m", 0.7}, {"in", 0.5}, {"cm", 0.2}, {"ft", 0.3}},
	quantity.DimTorque:       {{"N·m", 1}, {"lb-ft", 0.8}},
}

// usualUnits gives the units that are tried for a quantity: those of its
// dimension, or fewer.
func usualUnits(q quantity.Name, dim quantity.Dimension) []unitChance {
	switch q {
	case quantity.Altitude:
		return []unitChance{{"m", 1}, {"ft", 0.5}}
	case quantity.RideHeight:
		return []unitChance{{"mm", 1}, {"in", 0.4}, {"cm", 0.2}, {"m", 0.1}}
	case quantity.YawRate:
		return []unitChance{{"deg/s", 1}, {"rad/s", 0.5}}
	case quantity.TurboSpeed:
		return []unitChance{{"rpm", 1}, {"krpm", 0.5}, {"100 rpm", 0.2}}
	case quantity.BarometricPressure:
		return []unitChance{{"kPa", 1}, {"mbar", 1}, {"inHg", 0.7}, {"bar", 0.5}, {"psi", 0.4}, {"Pa", 0.4}, {"mmHg", 0.3}}
	case quantity.Latitude, quantity.Longitude:
		return []unitChance{{"deg", 1}, {"rad", 0.1}}
	case quantity.ExhaustTemperature:
		return []unitChance{{"°C", 1}, {"°F", 0.7}, {"K", 0.3}}
	}
	return unitPrior[dim]
}

// unitChance is a unit with how common it is, 0–1.
type unitChance struct {
	unit string
	p    float64
}

// reading is a quantity with a unit and how well both fit.
type reading struct {
	q     quantity.Name
	unit  quantity.Unit
	gauge bool    // a pressure over the barometer, after looking at the samples
	fit   float64 // 0–1: unit against quantity, and samples against both
	told  bool    // the unit is the file's own
	note  string  // why something was assumed, "" when nothing
}

// context is what the other columns of a log tell.
type context struct {
	circumference float64            // m, that wheels roll in a turn
	barometer     float64            // Pa absolute
	habit         map[string]float64 // by unit: how many columns use it, in columns
	manifold      float64            // Pa absolute, the largest manifold pressure; 0 unknown
}

// fitUnit finds the unit in which a column's samples make sense as q. stated is
// the file's unit; known tells whether it was understood.
func fitUnit(q quantity.Name, stated quantity.Unit, known bool, b *behaviour, ctx *context) reading {
	dim := quantity.DimensionOf(q)
	if q == quantity.Heading || q == quantity.Latitude || q == quantity.Longitude || q == quantity.SteeringAngle || q == quantity.IgnitionAngle {
		dim = quantity.DimAngle
	}
	none := stated.Dim == quantity.DimNumber
	if dim == quantity.DimRotation && stated.Dim == quantity.DimFrequency { // turns a second
		stated.Dim, stated.Factor = quantity.DimRotation, 2*math.Pi*stated.Factor
	}
	if dim == quantity.DimAcceleration && stated.Symbol == "gal" { // the galileo, 1 cm/s², is no gallon here
		stated = quantity.MustUnit("cm/s2")
	}
	if isSpeed(q) && known && (stated.Dim == quantity.DimRotation || stated.Dim == quantity.DimFrequency) {
		return turning(q, stated, b, ctx)
	}
	switch {
	case known && !none && (stated.Dim == dim || sameIdea(q, stated.Dim)):
		r := judge(q, stated, b, ctx)
		r.told = true
		// A unit that lies: the samples fit another one far better. A loose plug's leaps, a
		// few in a hundred, give no unit the lie.
		if r.fit < 0.35 {
			middle := *b
			middle.q01, middle.q99 = b.q05, b.q95
			if m := judge(q, stated, &middle, ctx); m.fit > 0.5 {
				r = m
				r.told = true
			}
		}
		if r.fit < 0.35 {
			if o := bestUnit(q, stated.Dim, b, ctx, stated.Symbol); o.fit > 3*r.fit && o.fit > 0.3 {
				o.fit *= 0.5
				o.note = "the unit " + stated.String() + " does not fit the readings; " + o.unit.String() + " is taken"
				return o
			}
		}
		return r
	case dim == quantity.DimNumber:
		fit := 1.0
		if known && !none {
			fit = 0.6 // volts of a knock sensor, but hardly of a gear
			switch q {
			case quantity.Gear, quantity.LaunchControl:
				fit = 0.1
			case quantity.Knock:
				fit = 1
				if stated.Dim == quantity.DimAngle { // by how much the ignition was held back
					fit = 0.05
				}
			}
		}
		if q == quantity.Gear && !likeGears(b) {
			fit *= 0.1
		}
		return reading{q: q, unit: stated, fit: fit * plausible(q, b.q01, b.q99), told: known}
	case dim == quantity.DimShare && b.whole && b.min >= 0 && b.max <= 1 && b.n > 0:
		// A switch.
		return reading{q: q, unit: quantity.MustUnit("0/1"), fit: 0.98, told: known}
	case known && !none:
		// The unit measures something else.
		if mayBeRaw(q, stated, b) {
			return reading{q: q, unit: stated, fit: 0.7, told: true}
		}
		if stated.Dim == quantity.DimVoltage || stated.Dim == quantity.DimCurrent || stated.Dim == quantity.DimFrequency {
			return reading{q: q, unit: stated, fit: 0.03, told: true, note: "raw " + stated.Symbol + " of the sensor, whose characteristic is not known"}
		}
		r := bestUnit(q, dim, b, ctx, "")
		r.fit *= 0.25
		r.note = "the unit " + stated.String() + " does not belong to it; " + r.unit.String() + " is taken"
		return r
	}
	r := bestUnit(q, dim, b, ctx, "")
	r.fit *= 0.85
	if r.fit < 0.3 && mayBeCounts(q, b) {
		return reading{q: q, unit: quantity.Unit{Symbol: stated.Symbol, Factor: 1}, fit: 0.6}
	}
	return r
}

// likeGears says whether readings can be gears: whole numbers, or a few levels of a sensor
// at the lever, that stay for a while. A ratio or a force runs through all that lies between.
func likeGears(b *behaviour) bool {
	return b.n < 50 || (b.whole || b.distinct < 20) && b.changes < b.n/3
}

// sameIdea says whether a unit of another dimension can carry the quantity.
func sameIdea(q quantity.Name, d quantity.Dimension) bool {
	switch q {
	case quantity.FuelFlow:
		return d == quantity.DimVolumeFlow
	case quantity.Lambda, quantity.LambdaTarget:
		return d == quantity.DimShare // "ratio", "%"
	case quantity.FuelTrim:
		return d == quantity.DimMixture
	case quantity.FuelLevel:
		return d == quantity.DimVolume
	}
	return false
}

// bestUnit tries the usual units of a dimension.
func bestUnit(q quantity.Name, dim quantity.Dimension, b *behaviour, ctx *context, not string) reading {
	var best reading
	score, second := -1.0, 0.0
	for _, c := range usualUnits(q, dim) {
		u := quantity.MustUnit(c.unit)
		if u.Symbol == not {
			continue
		}
		r := judge(q, u, b, ctx)
		s := r.fit * c.p * (0.3 + ctx.habit[u.Symbol])
		if not == "" {
			s *= r.likely(b, ctx)
		}
		if s > score {
			best, second, score = r, score, s
		} else if s > second {
			second = s
		}
	}
	if score < 0 {
		return reading{q: q, fit: 0.3}
	}
	// Two units that fit nearly alike leave doubt.
	if second > 0 {
		best.fit *= score / (score + 0.5*second)
	}
	best.note = "no unit stated; " + best.unit.String() + " is taken"
	return best
}

// ends are where the smallest and the largest readings lie in the reading's unit, SI, of
// pressures from where the quantity is kept.
func (r *reading) ends(b *behaviour, ctx *context) (low, high float64) {
	plain := r.unit
	plain.Reference = quantity.NotStated
	low, high = plain.SI(b.q01), plain.SI(b.q99)
	if r.unit.Dim == quantity.DimPressure {
		over := 0.0
		switch kept := quantity.KeptAbsolute(r.q); {
		case kept && r.gauge:
			over = ctx.barometer
		case !kept && !r.gauge:
			over = -ctx.barometer
		}
		low, high = low+over, high+over
	}
	return low, high
}

// likely weighs the reading's unit where nobody told it.
func (r *reading) likely(b *behaviour, ctx *context) float64 {
	low, high := r.ends(b, ctx)
	return likely(r.q, low, high, ctx.manifold)
}

// judge says how well samples fit a quantity in a unit, and for pressures
// decides between gauge and absolute.
func judge(q quantity.Name, u quantity.Unit, b *behaviour, ctx *context) reading {
	r := reading{q: q, unit: u}
	if u.Dim == quantity.DimPressure {
		return judgePressure(q, u, b, ctx)
	}
	target := q
	if q == quantity.FuelFlow && u.Dim == quantity.DimVolumeFlow {
		target = quantity.FuelVolumeFlow
		r.q = target
	}
	low, high := u.SI(b.q01), u.SI(b.q99)
	if low > high {
		low, high = high, low
	}
	r.fit = plausible(target, low, high)
	if q == quantity.EngineSpeed && b.n > 50 && b.distinct < 5 {
		r.fit *= 0.3
	}
	return r
}

// judgePressure decides whether a pressure counts from vacuum or from the
// barometer. A manifold reads vacuum at idle and the barometer with the engine
// off; nothing reads far below zero on an absolute gauge.
func judgePressure(q quantity.Name, u quantity.Unit, b *behaviour, ctx *context) reading {
	r := reading{q: q, unit: u}
	plain := u
	plain.Reference = quantity.NotStated
	low, high := plain.SI(b.q01), plain.SI(b.q99)
	if u.Reference == quantity.BelowAmbient {
		low, high = -high, -low
	}
	baro := ctx.barometer
	var asGauge, asAbsolute float64
	if quantity.KeptAbsolute(q) {
		asGauge = plausible(q, low+baro, high+baro)
		asAbsolute = plausible(q, low, high)
	} else {
		asGauge = plausible(q, low, high)
		asAbsolute = plausible(q, low-baro, high-baro)
	}
	if q == quantity.ManifoldPressure && u.Reference == quantity.OverAmbient {
		// A log in which the throttle never closes shows no vacuum; pressureunits.go looks
		// whether it does.
		swing := min(1, (high-low)/minSpan[q])
		asGauge = max(asGauge, 0.5*swing*plausible(q, min(low+baro, usual[q].high), high+baro))
	}
	if low < -2*kPa { // nothing lies below vacuum
		asAbsolute *= 0.02
	}
	prior := gaugePrior(q, u)
	g, a := asGauge*prior, asAbsolute*(1-prior)
	r.gauge = g > a
	r.fit = max(asGauge, 0)
	if !r.gauge {
		r.fit = asAbsolute
	}
	if u.Reference == quantity.OverVacuum && r.gauge || u.Reference == quantity.OverAmbient && !r.gauge {
		r.note = "the readings contradict " + u.String()
		r.fit *= 0.6
	} else {
		r.fit *= 0.5 + 0.5*max(g, a)/(g+a)
	}
	return r
}

// gaugePrior is how likely a pressure of that name and unit counts from the
// barometer, before looking at its readings (common practice, no source).
func gaugePrior(q quantity.Name, u quantity.Unit) float64 {
	switch u.Reference {
	case quantity.OverAmbient, quantity.BelowAmbient:
		return 0.98
	case quantity.OverVacuum:
		return 0.02
	}
	if q == quantity.BarometricPressure {
		return 0.001
	}
	if quantity.KeptAbsolute(q) {
		switch u.Symbol {
		case "psi", "inHg":
			return 0.5
		}
		return 0.3
	}
	return 0.85
}
