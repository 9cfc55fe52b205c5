package plan

import (
	"math"

	"traplight/internal/fitcar"
)

const (
	loadedShare = 0.95 // 1, of the gear's highest absolute pressure, from which on its load counts as full
	loadedTime  = 0.3  // s of it that tell a mixture: less is a spike of the sensor after a shift
)

// loadedLambda is the mean lambda of a gear at full throttle and full load, 1; not a number
// where the log does not show it. At less load an engine computer asks for a leaner mixture.
func loadedLambda(o *fitcar.Observation, gear int) float64 {
	if o.Lambda == nil || o.Boost == nil {
		return math.NaN()
	}
	in := func(i int) bool { return o.Gear[i] == gear && o.Full[i] && i >= o.Lock }
	high := 0.0
	for i, p := range o.Boost {
		if in(i) {
			if p > high { // not a number: not read
				high = p
			}
		}
	}
	sum, n := 0.0, 0.0
	for i, l := range o.Lambda {
		if in(i) && o.Boost[i] >= loadedShare*high && l > 0.5 && l < 1.5 {
			sum, n = sum+l, n+1
		}
	}
	if n*o.Step < loadedTime {
		return math.NaN()
	}
	return sum / n
}
