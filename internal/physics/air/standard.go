package air

import "math"

// The standard atmosphere below 11 km (ISO 2533:1975, ICAO Doc 7488, US Standard
// Atmosphere 1976: the same model).
const (
	StandardTemperature = 288.15                                                 // K at height 0
	StandardPressure    = 101325                                                 // Pa at height 0
	StandardDensity     = StandardPressure / (standardGas * StandardTemperature) // kg/m³ at height 0, 1.225
	lapse               = 0.0065                                                 // K/m
	standardGravity     = 9.80665                                                // m/s²
	standardGas         = 287.05287
	// exponent of pressure: g/(R·lapse) = 5.255876
	barometric = standardGravity / (standardGas * lapse)
	// GasConstantDry is that of dry air, J/(kg·K), as the standard has it.
	GasConstantDry = standardGas
)

// Standard returns temperature, K, pressure, Pa, and density, kg/m³, of the
// standard atmosphere at geopotential height h, m, for −5000 to 11 000 m; NaN
// outside.
func Standard(h float64) (t, p, rho float64) {
	if !(h >= -5000 && h <= 11000) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	t = StandardTemperature - lapse*h
	p = StandardPressure * math.Pow(t/StandardTemperature, barometric)
	return t, p, p / (standardGas * t)
}

// AltitudeSD is how closely density altitude is known, m, where density is known to a share
// of 1: the slope of DensityAltitude at height 0.
func AltitudeSD(share float64) float64 {
	return share * StandardTemperature / lapse / (barometric - 1)
}

// DensityAltitude returns the geopotential height, m, at which the standard
// atmosphere has density rho, kg/m³. NaN unless rho is positive. It is
// meant for the standard's troposphere, 0.364 to 1.9 kg/m³.
func DensityAltitude(rho float64) float64 {
	if !(rho > 0) {
		return math.NaN()
	}
	return StandardTemperature / lapse * (1 - math.Pow(rho/StandardDensity, 1/(barometric-1)))
}

// PressureAltitude returns the height, m, at which the standard atmosphere has
// pressure p, Pa. NaN unless p is positive.
func PressureAltitude(p float64) float64 {
	if !(p > 0) {
		return math.NaN()
	}
	return StandardTemperature / lapse * (1 - math.Pow(p/StandardPressure, 1/barometric))
}

// StationPressure returns the pressure at a place, Pa, of elevation h, m, when
// the altimeter setting there is setting, Pa: what an altimeter set to that figure
// must see to show its own elevation. NaN when either is impossible.
//
// Source: definition of the altimeter setting (ICAO Doc 7488's atmosphere). The
// US weather service first takes 0.3 hPa off for the height of the
// instrument above the runway (from memory); that is not done here.
func StationPressure(setting, h float64) float64 {
	if !(setting > 0) {
		return math.NaN()
	}
	base := math.Pow(setting/StandardPressure, 1/barometric) - lapse*h/StandardTemperature
	if !(base > 0) {
		return math.NaN()
	}
	return StandardPressure * math.Pow(base, barometric)
}

// SpeedOfSound returns the speed of sound in dry air, m/s, at temperature t, K,
// for an ideal gas with ratio of specific heats 1.4.
func SpeedOfSound(t float64) float64 { return math.Sqrt(1.4 * standardGas * t) }
