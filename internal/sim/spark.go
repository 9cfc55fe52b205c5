package sim

// Spark is the ignition that the engine computer sets, and what it costs.
//
// Torque falls with the square of the angle from the best ignition (J. B. Heywood,
// "Internal Combustion Engine Fundamentals" (1988), figure 15-3, from memory; package
// burn). The map is the computer's: earlier with engine speed, later with pressure and
// with heat, as knock asks for. So more boost in an engine whose ignition is late already
// brings less torque than air.
type Spark struct {
	Loss       float64 // 1/rad², of indicated torque per squared angle from the best; 0 leaves ignition out
	Best       float64 // rad before top dead centre, ignition of most torque
	Angle      float64 // rad before top dead centre, set at RefSpeed, RefPressure and RefCharge
	BySpeed    float64 // rad per rad/s
	BySpeed2   float64 // rad per (rad/s)²
	ByPressure float64 // rad/Pa, of manifold pressure
	ByHeat     float64 // rad/K, of charge temperature
}

// least is the efficiency that is left however late the ignition is, 1.
const least = 0.3

// Set is the ignition angle, rad before top dead centre, at engine speed, rad/s, manifold
// pressure, Pa absolute, and charge temperature, K.
func (s *Spark) Set(speed, pressure, temp float64) float64 {
	n := speed - RefSpeed
	return s.Angle + n*(s.BySpeed+n*s.BySpeed2) + s.ByPressure*(pressure-RefPressure) + s.ByHeat*(temp-RefCharge)
}

// Efficiency is the indicated torque over that at the best ignition, 1, for an ignition
// angle, rad before top dead centre.
func (s *Spark) Efficiency(angle float64) float64 {
	late := s.Best - angle
	return max(least, 1-s.Loss*late*late)
}
