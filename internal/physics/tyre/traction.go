package tyre

import "math"

var inf = math.Inf(1)

// LoadTransfer returns the load, N, that moves from the front to the rear axle when a
// car of that mass, kg, accelerates by a, m/s², with its centre of gravity at height h,
// m, on that wheelbase, m (moments about the contact points; lift and drag apart).
func LoadTransfer(mass, a, h, wheelbase float64) float64 { return mass * a * h / wheelbase }

// Traction describes a car for the highest force that grip allows.
//
// Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2,
// traction-limited acceleration (from memory).
type Traction struct {
	DrivenLoad float64 // N, static load on the driven axle
	Mu         float64 // 1, grip
	CGHeight   float64 // m
	Wheelbase  float64 // m
	Rear       bool    // the rear axle is driven; else the front
	// With an open differential on an axle whose final drive sits on it, driveline torque
	// unloads one wheel, and the pair is limited by that one. Leave Track at zero for a
	// locked or limited-slip differential, or a final drive bolted to the body.
	Track      float64 // m, of the driven axle
	FinalDrive float64 // 1
	Radius     float64 // m, rolling
	OtherRoll  float64 // N·m/rad (or any unit), roll stiffness of the other axle
	TotalRoll  float64 // N·m/rad (the same unit), of both
}

// Force returns the highest tractive force, N, with the load transfer that this very force
// causes. Resistances other than inertia are neglected. It is +Inf where a rear-driven
// car would lift its front wheels before the tyres slip by this simple law (h·µ ≥ L): use
// Wheelie for that limit.
func (c Traction) Force() float64 {
	sign := 1.0
	if c.Rear {
		sign = -1
	}
	den := 1 + sign*c.CGHeight*c.Mu/c.Wheelbase
	if c.Track > 0 {
		den += 2 * c.Mu * c.Radius / (c.FinalDrive * c.Track) * c.OtherRoll / c.TotalRoll
	}
	if den <= 0 {
		return inf
	}
	return c.Mu * c.DrivenLoad / den
}

// Wheelie returns the tractive force, N, at which the front axle of a rear-driven car
// carries nothing any more: its static front load, N, times wheelbase over height of the
// centre of gravity, both m.
func Wheelie(frontLoad, wheelbase, cgHeight float64) float64 {
	return frontLoad * wheelbase / cgHeight
}
