package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Without positions and without a speed whose unit is told, the accelerometer says how fast
// the car is: its readings are the change of speed in one unit only.

const (
	// slopeSpread is how far, as a logarithm, squat, grade and a turned box put an
	// accelerometer off the change of speed (common practice, no source).
	slopeSpread = 0.08
	// slopeFar is the logarithm from which a speed does not go with the accelerometer:
	// less than lies between km/h and mph, more than spinning tyres or a turned box make.
	slopeFar = 0.27
	// surely is the correlation from which a speed is held to the accelerometer.
	surely = 0.9
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
	best, rank := -1, 0
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
			best, rank = i, r
		}
	}
	if best < 0 {
		return
	}
	c := &set.Channels[best]
	u, ok := quantity.ParseUnit(c.Unit)
	short, follows := acceleratedBy(set, c.Trace)
	if !ok || !follows || u.Dim != quantity.DimSpeed {
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
	told := c.Unit
	for i := range set.Channels {
		k := &set.Channels[i]
		if !isSpeed(k.Quantity) || k.toldUnit || k.Unit != told {
			continue
		}
		if unit.Symbol != u.Symbol {
			k.rescale(unit.Factor / u.Factor)
			k.Unit = unit.String()
		}
		k.Confidence = max(k.Confidence, min(0.85, k.nameScore))
		k.toldUnit = true
	}
	set.Notes = append(set.Notes, fmt.Sprintf("channel %q is in %s by comparison with the acceleration", c.Name, unit.Symbol))
}
