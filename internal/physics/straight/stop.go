package straight

// StoppingDistance returns the distance, m, in which constant deceleration, m/s², stops
// a car from speed v, m/s, without a reaction time.
func StoppingDistance(v, deceleration float64) float64 { return v * v / (2 * deceleration) }
