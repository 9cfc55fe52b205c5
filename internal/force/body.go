// Package force turns a car's motion into tyre force, hub torque and axle load.
//
// Tyre force F = (m + J_undriven/r²)·a + ½ρ·CdA·v_air² + rolling resistance +
// m·g·sin(grade), from Newton's law along the strip (as in any textbook of
// vehicle dynamics, e.g. Gillespie, Fundamentals of Vehicle Dynamics, ch. 2).
// Hub torque adds the driven wheels' own inertia. The effective rolling radius
// stands in both, so that power is conserved: hub torque times wheel speed is
// tyre power plus what the contact patch turns into heat.
//
// Limits: a straight strip, a rigid body (no heave), rolling resistance that
// rises with speed as one curve for all tyres.
package force

// G is standard gravity, m/s² (CGPM 1901).
const G = 9.80665

// Axle says which wheels the engine turns.
type Axle int

// The driven axles.
const (
	Front Axle = iota
	Rear
	All
)

// Body is a car for one pass.
type Body struct {
	Mass       float64 // kg
	DragArea   float64 // m²
	LiftFront  float64 // m², down-force area at the front axle
	LiftRear   float64 // m², at the rear axle
	Rolling    float64 // 1, rolling-resistance coefficient at low speed
	FrontShare float64 // 0–1, static share of weight on the front axle
	CGHeight   float64 // m
	Wheelbase  float64 // m
	JDriven    float64 // kg·m², driven wheels and shafts
	JUndriven  float64 // kg·m², undriven wheels
	Radius     float64 // m, effective rolling radius of the driven tyres near standstill
	Growth     float64 // s²/m², its relative growth per speed squared
	Driven     Axle
}

// Surroundings of one pass.
type Surroundings struct {
	Density  float64 // kg/m³
	Headwind float64 // m/s, against the car positive
	Grade    float64 // rise over run
}

// RadiusAt is the effective rolling radius, m, at speed v, m/s.
func (b *Body) RadiusAt(v float64) float64 { return b.Radius * (1 + b.Growth*v*v) }

// rollingRise is the growth of the rolling-resistance coefficient with speed
// squared, s²/m²: a third more at 80 m/s, as radial tyres near their rated speed show
// (common practice, no source; the form with a power of speed is Gillespie's, ch. 4).
const rollingRise = 5e-5

// RollingAt is the rolling-resistance coefficient, 1, at speed v, m/s.
func (b *Body) RollingAt(v float64) float64 { return b.Rolling * (1 + rollingRise*v*v) }

// Drag is the aerodynamic drag, N, at speed v, m/s.
func (b *Body) Drag(s Surroundings, v float64) float64 {
	u := v + s.Headwind
	if u < 0 {
		return -0.5 * s.Density * b.DragArea * u * u
	}
	return 0.5 * s.Density * b.DragArea * u * u
}

// TyreForce is the force, N, of the driven tyres on the strip along the car at
// speed v, m/s, and acceleration a, m/s². The rolling resistance of the undriven
// wheels is in it; that of the driven wheels is not (see HubTorque).
func (b *Body) TyreForce(s Surroundings, v, a float64) float64 {
	r := b.RadiusAt(v)
	share := 1 - b.drivenShare()
	return (b.Mass+b.JUndriven/(r*r))*a + b.Drag(s, v) + share*b.RollingAt(v)*b.Mass*G + b.Mass*G*s.Grade
}

// drivenShare is the static share of weight on the driven wheels, 0–1.
func (b *Body) drivenShare() float64 {
	switch b.Driven {
	case Front:
		return b.FrontShare
	case Rear:
		return 1 - b.FrontShare
	}
	return 1
}

// HubTorque is the sum of the torques, N·m, at the driven hubs, outboard of the
// shafts; dw is the driven wheels' angular acceleration, rad/s².
func (b *Body) HubTorque(s Surroundings, v, a, dw float64) float64 {
	r := b.RadiusAt(v)
	return b.TyreForce(s, v, a)*r + b.drivenShare()*b.RollingAt(v)*b.Mass*G*r + b.JDriven*dw
}

// DrivenLoad is the vertical load, N, on the driven axle (all wheels for all-wheel
// drive) with longitudinal transfer and lift.
func (b *Body) DrivenLoad(s Surroundings, v, a float64) float64 {
	q := 0.5 * s.Density * (v + s.Headwind) * (v + s.Headwind)
	transfer := b.Mass * a * b.CGHeight / b.Wheelbase
	front := b.Mass*G*b.FrontShare - transfer + q*b.LiftFront
	rear := b.Mass*G*(1-b.FrontShare) + transfer + q*b.LiftRear
	switch b.Driven {
	case Front:
		return front
	case Rear:
		return rear
	}
	return front + rear
}

// CeilingTorque is the hub torque, N·m, that brings the driven tyres to a used
// grip of mu (1) at speed v, m/s, with the load transfer that this very torque
// causes and the wheels turning at the rate that goes with it.
func (b *Body) CeilingTorque(s Surroundings, mu, v float64) float64 {
	// F = mu·N(a) and F = M·a + R: linear in a
	r := b.RadiusAt(v)
	m := b.Mass + b.JUndriven/(r*r)
	res := b.TyreForce(s, v, 0)
	n0 := b.DrivenLoad(s, v, 0)
	dn := b.DrivenLoad(s, v, 1) - n0
	den := m - mu*dn
	if den < 0.05*m {
		den = 0.05 * m // a car that would stand on its driven axle
	}
	a := (mu*n0 - res) / den
	return b.HubTorque(s, v, a, a/r)
}

// FreeDecel is the acceleration, m/s² (negative), of the car rolling with the
// clutch open at speed v, m/s: drag, rolling resistance and grade against mass
// and all wheels' inertia.
func (b *Body) FreeDecel(s Surroundings, v float64) float64 {
	r := b.RadiusAt(v)
	return -(b.Drag(s, v) + b.RollingAt(v)*b.Mass*G + b.Mass*G*s.Grade) / (b.Mass + (b.JUndriven+b.JDriven)/(r*r))
}
