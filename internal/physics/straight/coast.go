package straight

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Resistance is a force against the motion, f0 + f1·v + f2·v², as coast-downs give it
// (SAE J2263), or with a braking force in f0.
type Resistance struct {
	F0 float64 // N
	F1 float64 // N/(m/s)
	F2 float64 // N/(m/s)²
}

// At returns the force, N, at speed v, m/s.
func (r Resistance) At(v float64) float64 { return r.F0 + v*(r.F1+v*r.F2) }

// Slow returns the time, s, and the distance, m, in which a car of effective mass, kg,
// slows from v1 to v2, m/s. Both are 0 for equal speeds and +Inf if the car never gets
// there: v2 above v1, or a force that is not against the motion all the way between.
func (r Resistance) Slow(mass, v1, v2 float64) (t, x float64) {
	if v1 == v2 {
		return 0, 0
	}
	if v2 > v1 || !r.positive(v1, v2) {
		return math.Inf(1), math.Inf(1)
	}
	if top := math.Max(v1, v2); math.Abs(r.F2)*top*top < 0.01*(math.Abs(r.F0)+math.Abs(r.F1)*top) {
		// The closed form's terms cancel; the integrand is smooth, so 40 points are exact
		// to rounding.
		t = mass * quad.Fixed(func(v float64) float64 { return 1 / r.At(v) }, v2, v1, 40, nil, 0)
		x = mass * quad.Fixed(func(v float64) float64 { return v / r.At(v) }, v2, v1, 40, nil, 0)
		return t, x
	}
	t = mass * (r.inverse(v1) - r.inverse(v2))
	// v/q = q'/(2·f2·q) − f1/(2·f2·q)
	x = mass/(2*r.F2)*math.Log(r.At(v1)/r.At(v2)) - r.F1/(2*r.F2)*t
	return t, x
}

// positive checks the force at both ends and at its least between.
func (r Resistance) positive(v1, v2 float64) bool {
	ok := r.At(v1) > 0 && r.At(v2) > 0
	if r.F2 > 0 {
		if least := -r.F1 / (2 * r.F2); least > math.Min(v1, v2) && least < math.Max(v1, v2) {
			ok = ok && r.At(least) > 0
		}
	}
	return ok
}

// inverse is the antiderivative of 1/(f0 + f1·v + f2·v²) for f2 other than 0.
func (r Resistance) inverse(v float64) float64 {
	d := 4*r.F0*r.F2 - r.F1*r.F1
	u := 2*r.F2*v + r.F1
	switch {
	case d > 0:
		s := math.Sqrt(d)
		return 2 / s * math.Atan(u/s)
	case d < 0:
		s := math.Sqrt(-d)
		return math.Log(math.Abs((u-s)/(u+s))) / s
	}
	return -2 / u
}

// StoppingDistance returns the distance, m, in which constant deceleration, m/s², stops
// a car from speed v, m/s, without a reaction time.
func StoppingDistance(v, deceleration float64) float64 { return v * v / (2 * deceleration) }
