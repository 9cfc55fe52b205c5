package air

import (
	"math"

	"traplight/internal/quantity"
)

// State is the air at one place and time.
type State struct {
	Temperature float64 // K
	Pressure    float64 // Pa absolute, at the place itself
	Humidity    float64 // 0–1, relative, over liquid water
}

// Spread is how far a State's figures may be off: standard deviations in the
// units of State. Zero stands for "exact".
type Spread struct {
	Temperature float64 // K
	Pressure    float64 // Pa
	Humidity    float64 // 1
}

// PitReadings is the spread of air figures as people read them beside a strip: a
// thermometer in the shade or a weather station some distance away, a pressure
// rounded to 1 hPa, a cheap humidity sensor. Common practice, no source; makers of
// pocket weather meters state ±1 K, ±1.5 hPa and ±3 to 5 % (from memory), doubled
// here for time and place.
var PitReadings = Spread{Temperature: 1.0, Pressure: 150, Humidity: 0.06}

// Density returns the density, kg/m³; ok as in the function Density.
func (s State) Density() (rho float64, ok bool) {
	return Density(s.Temperature, s.Pressure, s.Humidity)
}

// DensityAltitude returns the density altitude, m.
func (s State) DensityAltitude() float64 {
	rho, _ := s.Density()
	return DensityAltitude(rho)
}

// DensityEstimate returns the density, kg/m³, with the standard deviation that the
// spread of the readings causes (first order, readings independent).
func (s State) DensityEstimate(sd Spread) quantity.Estimate {
	rho, _ := s.Density()
	dt := (density(s.Temperature+0.5, s.Pressure, s.Humidity) - density(s.Temperature-0.5, s.Pressure, s.Humidity)) * sd.Temperature
	dp := (density(s.Temperature, s.Pressure+50, s.Humidity) - density(s.Temperature, s.Pressure-50, s.Humidity)) / 100 * sd.Pressure
	dh := (density(s.Temperature, s.Pressure, s.Humidity+0.05) - density(s.Temperature, s.Pressure, s.Humidity-0.05)) / 0.1 * sd.Humidity
	return quantity.Estimate{Value: rho, SD: math.Sqrt(dt*dt + dp*dp + dh*dh)}
}

func density(t, p, rh float64) float64 {
	rho, _ := Density(t, p, rh)
	return rho
}
