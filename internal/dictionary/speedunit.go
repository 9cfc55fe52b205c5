package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Without positions and without a speed whose unit is told, the accelerometer says how fast
// the car is: its readings are the change of speed in one unit only. Without an accelerometer
// the gears of the car do, against engine speed.

const (
	// slopeSpread is how far, as a logarithm, squat, grade and a turned box put an
	// accelerometer off the change of speed (common practice, no source).
	slopeSpread = 0.08
	// slopeFar is the logarithm from which a speed does not go with the accelerometer:
	// less than lies between km/h and mph, more than spinning tyres or a turned box make.
	slopeFar = 0.27
	// surely is the correlation from which a speed is held to the accelerometer.
	surely = 0.9
	// gearNear is how near, as a logarithm, engine over wheel speed lies to a gear: tyre and
	// slip leave that much open.
	gearNear = 0.05
	// gearsFit and gearsBetter are the share of readings that must lie near a gear in a unit,
	// and by how much that must be more than in the next best.
	gearsFit, gearsBetter = 0.6, 0.2
)

// acceleratedBy is the logarithm of the factor by which a speed falls short of what the
// accelerometer tells; false when none follows it.
func acceleratedBy(set *Set, v trace.Trace) (float64, bool) {
	dv := change(v)
	if spreadOf(dv.V) < 0.3 { // m/s², in whatever unit
		return 0, false
	}
	for i := range set.Channels {
		a := &set.Channels[i]
		if a.Quantity != quantity.AccelerationLong || a.Trace.Len() < 20 {
			continue
		}
		slope, corr, n := fitChange(a.Trace, dv)
		if n >= 20 && math.Abs(corr) >= surely {
			return math.Log(math.Abs(slope) / usualSlope), true
		}
	}
	return 0, false
}

// unitByAcceleration gives the speeds whose unit nobody told the one in which one of them
// goes with the accelerometer.
func unitByAcceleration(set *Set) {
	c, u := unitlessSpeed(set)
	if c == nil {
		return
	}
	short, follows := acceleratedBy(set, c.Trace)
	if !follows {
		return
	}
	off := func(o quantity.Unit) float64 { return short - math.Log(o.Factor/u.Factor) }
	var unit quantity.Unit
	score := math.Inf(-1)
	for _, p := range unitPrior[quantity.DimSpeed] {
		o := quantity.MustUnit(p.unit)
		if s := math.Log(p.p) - 0.5*math.Pow(off(o)/slopeSpread, 2); s > score {
			unit, score = o, s
		}
	}
	if math.Abs(off(unit)) > slopeFar {
		return
	}
	settleSpeedUnit(set, c, u, unit, "the acceleration")
}

// unitByGears gives the speeds whose unit nobody told the one in which engine speed over wheel
// speed is one of the car's gears for most of the time.
func unitByGears(set *Set, opts *Options) {
	c, u := unitlessSpeed(set)
	e := set.First(quantity.EngineSpeed)
	if c == nil || e == nil || len(opts.Overall) == 0 || opts.Circumference <= 0 {
		return
	}
	var ratios []float64 // logarithms, engine over wheel turns in the unit that was taken
	fast, pulling := 0.25*top(c.Trace), 0.4*top(e.Trace)
	for k, t := range c.Trace.T {
		if w, ok := near(e.Trace, t, 1.5/max(e.RateHz, 1)); ok && w > pulling && c.Trace.V[k] > fast {
			ratios = append(ratios, math.Log(w*opts.Circumference/(2*math.Pi*c.Trace.V[k])))
		}
	}
	if len(ratios) < 50 {
		return
	}
	var unit quantity.Unit
	best, second := -1.0, -1.0
	for _, p := range unitPrior[quantity.DimSpeed] {
		o := quantity.MustUnit(p.unit)
		n := 0
		for _, r := range ratios {
			r -= math.Log(o.Factor / u.Factor)
			if slices.ContainsFunc(opts.Overall, func(g float64) bool { return math.Abs(r-math.Log(g)) < gearNear }) {
				n++
			}
		}
		if share := float64(n) / float64(len(ratios)); share > best {
			unit, best, second = o, share, best
		} else {
			second = max(second, share)
		}
	}
	if best > gearsFit && best > second+gearsBetter {
		settleSpeedUnit(set, c, u, unit, "engine speed and the car's gears")
	}
}

// unitlessSpeed is the speed nearest to the car's own of those whose unit nobody told, with
// the unit that was taken; nil when there is none.
func unitlessSpeed(set *Set) (*Channel, quantity.Unit) {
	var best *Channel
	rank := 0
	for i := range set.Channels {
		c := &set.Channels[i]
		if !isSpeed(c.Quantity) || c.toldUnit || c.Trace.Len() < 50 {
			continue
		}
		r := 1
		switch c.Quantity {
		case quantity.GPSSpeed:
			r = 3
		case quantity.VehicleSpeed:
			r = 2
		}
		if r > rank {
			best, rank = c, r
		}
	}
	if best == nil {
		return nil, quantity.Unit{}
	}
	u, ok := quantity.ParseUnit(best.Unit)
	if !ok || u.Dim != quantity.DimSpeed {
		return nil, u
	}
	return best, u
}

// settleSpeedUnit brings c and the other speeds that were read in was, for want of a unit, to unit.
func settleSpeedUnit(set *Set, c *Channel, was, unit quantity.Unit, by string) {
	told := c.Unit
	for i := range set.Channels {
		k := &set.Channels[i]
		if !isSpeed(k.Quantity) || k.toldUnit || k.Unit != told {
			continue
		}
		if unit.Symbol != was.Symbol {
			k.rescale(unit.Factor / was.Factor)
			k.Unit = unit.String()
		}
		k.Confidence = max(k.Confidence, min(0.85, k.nameScore))
		k.toldUnit = true
	}
	set.Notes = append(set.Notes, fmt.Sprintf("channel %q is in %s by comparison with %s", c.Name, unit.Symbol, by))
}
