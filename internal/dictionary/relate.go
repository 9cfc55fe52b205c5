package dictionary

import (
	"math"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// What channels say of each other. Speeds must agree with the way the positions
// go, which needs no unit; an accelerometer must agree with the change of speed,
// in size, sign and axis. Units that were assumed are settled so, and units that
// lie are found out.

const (
	// earthRadius is the mean radius, m (IUGG); ellipsoid effects stay below
	// 0.4 %, and it only serves to tell units apart.
	earthRadius = 6371008.8
	// compareRate is the rate, Hz, of the common grid on which channels are
	// compared.
	compareRate = 10
	// agree is the relative difference up to which a speed counts as agreeing
	// with the reference (tyres, slip and lags included).
	agree = 0.12
	// unitAgree is how near a ratio must be to that of two units.
	unitAgree = 0.06
	// unitSteady and unitWide are the most by which the 85th and the 90th percentile of
	// that ratio may be over the 15th and the 10th (driven wheels spin for a while) where
	// a unit is taken that the file denies: a unit is wrong all the time, a coordinate that
	// stands still only since then.
	unitSteady, unitWide = 1.15, 1.3
)

// relate settles units, signs and axes across channels. It gives the speed against which
// the others were held, which may be empty.
func relate(set *Set, opts *Options) trace.Trace {
	way := positionSpeed(set)
	ref, how := referenceSpeed(set, way)
	if ref.Len() <= 10 {
		unitByAcceleration(set)
		unitByGears(set, opts)
		ref, how = referenceSpeed(set, way)
	}
	if ref.Len() > 10 {
		settleSpeeds(set, ref, how)
		ref, _ = referenceSpeed(set, way)
	}
	if ref.Len() > 10 {
		settleAcceleration(set, ref, way.Len() > 20 && top(way) > 5 || set.First(quantity.GPSSpeed) != nil)
	}
	return ref
}

// rescale multiplies a channel's samples.
func (c *Channel) rescale(f float64) {
	v := make([]float64, len(c.Trace.V))
	for i := range v {
		v[i] = c.Trace.V[i] * f
	}
	c.Trace.V = v
	c.Resolution *= math.Abs(f)
}

func (c *Channel) problem(text string) { c.Problems = append(c.Problems, text) }
