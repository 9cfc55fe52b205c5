package straight

// Rotating holds the inertias between engine and wheels in one gear.
//
// Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2,
// equation 2-9.
type Rotating struct {
	Engine     float64 // kg·m², engine with flywheel and clutch
	Gearbox    float64 // kg·m², seen from the engine
	FinalDrive float64 // kg·m², drive shafts, seen from the final drive's input
	Wheels     float64 // kg·m², wheels and axle shafts
	Gear       float64 // 1, ratio of the gear
	Final      float64 // 1, ratio of the final drive
}

// AtWheels returns the inertia, kg·m², that all of it has at the wheels.
func (r Rotating) AtWheels() float64 {
	n := r.Gear * r.Final
	return (r.Engine+r.Gearbox)*n*n + r.FinalDrive*r.Final*r.Final + r.Wheels
}

// MassFactor returns by how much rotating parts multiply a car's mass, kg, with that
// rolling radius, m, while tyres do not slip: 1 or more.
func (r Rotating) MassFactor(mass, radius float64) float64 {
	return 1 + r.AtWheels()/(mass*radius*radius)
}

// MassFactorRough is Gillespie's rule for a car of which nothing is known but the
// overall ratio, 1: 1 + 0.04 + 0.0025·n².
func MassFactorRough(overall float64) float64 { return 1.04 + 0.0025*overall*overall }
