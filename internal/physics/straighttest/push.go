package straighttest

import "math"

// Push is a car under a force that its tyres carry up to the speed where its power no
// longer can, against drag that grows with the square of speed.
type Push struct {
	Mass  float64 // kg, with what rotating parts add
	Force float64 // N, greatest; +Inf for power alone
	Power float64 // W; +Inf for force alone
	Drag  float64 // N/(m/s)², ½·ρ·CdA; 0 for none
}

// At returns speed, m/s, and time, s, at distance x, m, from a standing start; x must not
// be negative. Both are NaN when neither force nor power is finite.
func (p Push) At(x float64) (v, t float64) {
	if math.IsInf(p.Force, 1) && math.IsInf(p.Power, 1) {
		return math.NaN(), math.NaN()
	}
	if x <= 0 {
		return 0, 0
	}
	change := p.Power / p.Force // speed at which power takes over; 0 for power alone
	if math.IsInf(p.Force, 1) {
		change = 0
	}
	if v, t = p.byForce(x); v <= change {
		return v, t
	}
	x1 := p.forceDistance(change)
	return p.byPower(change, x1, p.forceTime(change), x)
}

// byForce is the phase of constant force.
func (p Push) byForce(x float64) (v, t float64) {
	if math.IsInf(p.Force, 1) {
		return math.Inf(1), 0
	}
	if p.Drag == 0 {
		v = math.Sqrt(2 * p.Force * x / p.Mass)
	} else {
		v = math.Sqrt(p.Force / p.Drag * -math.Expm1(-2*p.Drag*x/p.Mass))
	}
	return v, p.forceTime(v)
}

// forceTime and forceDistance are what constant force needs to reach v from rest.
func (p Push) forceTime(v float64) float64 {
	if p.Drag == 0 || v == 0 {
		return p.Mass * v / p.Force
	}
	return p.Mass / math.Sqrt(p.Force*p.Drag) * math.Atanh(v*math.Sqrt(p.Drag/p.Force))
}

func (p Push) forceDistance(v float64) float64 {
	if p.Drag == 0 {
		return p.Mass * v * v / (2 * p.Force)
	}
	return -p.Mass / (2 * p.Drag) * math.Log1p(-p.Drag*v*v/p.Force)
}

// byPower goes on at constant power from speed v1 at distance x1 and time t1.
func (p Push) byPower(v1, x1, t1, x float64) (v, t float64) {
	if p.Drag == 0 {
		v = math.Cbrt(v1*v1*v1 + 3*p.Power*(x-x1)/p.Mass)
		return v, t1 + p.Mass*(v*v-v1*v1)/(2*p.Power)
	}
	top := p.Power / p.Drag // cube of the top speed
	v = math.Cbrt(v1*v1*v1 - (top-v1*v1*v1)*math.Expm1(-3*p.Drag*(x-x1)/p.Mass))
	c := math.Cbrt(top)
	return v, t1 + p.Mass/p.Drag*(powerIntegral(v, c)-powerIntegral(v1, c))
}

// powerIntegral is ∫ u du/(c³ − u³) from 0 to v, in s/m: by partial fractions or, far below
// the top speed c where these cancel, by a series in (v/c)³.
func powerIntegral(v, c float64) float64 {
	if q := v / c; q < 0.25 {
		sum, power := 0.0, q*q
		for n := 2.0; n < 30; n += 3 {
			sum += power / n
			power *= q * q * q
		}
		return sum / c
	}
	const atZero = 0.30229989403903630843 * 3 // √3·atan(1/√3) = √3·π/6
	return (-math.Log(1-v/c) + 0.5*math.Log((v*v+c*v+c*c)/(c*c)) - math.Sqrt(3)*math.Atan((2*v+c)/(math.Sqrt(3)*c)) + atZero) / (3 * c)
}
