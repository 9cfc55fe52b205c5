package demo

import "math"

// printUnit is how a unit is written in a header, and how a value in SI comes
// out in it.
type printUnit struct {
	text     string // in brackets, parentheses or a row of its own
	suffix   string // as the ending of a name
	scale    float64
	offset   float64 // value = (SI − offset)·scale
	decimals int
	gauge    bool // the barometer is taken off first
}

// fuelDensity and stoichiometric figures that a unit needs come with the car.
func unitFor(u string, rho float64) printUnit {
	switch u {
	case "rpm":
		return printUnit{"rpm", "rpm", 1 / rpm, 0, 0, false}
	case "%":
		return printUnit{"%", "pct", 100, 0, 1, false}
	case "kPa abs":
		return printUnit{"kPa", "kpa", 1e-3, 0, 1, false}
	case "kPa gauge":
		return printUnit{"kPa gauge", "kpag", 1e-3, 0, 1, true}
	case "kPa":
		return printUnit{"kPa", "kpa", 1e-3, 0, 1, false}
	case "hPa":
		return printUnit{"hPa", "hpa", 1e-2, 0, 1, false}
	case "mbar abs":
		return printUnit{"mbar", "mbar", 1e-2, 0, 0, false}
	case "bar abs":
		return printUnit{"bar(a)", "bar", 1e-5, 0, 3, false}
	case "bar gauge":
		return printUnit{"bar(g)", "barg", 1e-5, 0, 3, true}
	case "bar":
		return printUnit{"bar", "bar", 1e-5, 0, 3, false}
	case "psi gauge":
		return printUnit{"psi", "psi", 1 / 6894.757, 0, 2, true}
	case "psi":
		return printUnit{"psi", "psi", 1 / 6894.757, 0, 2, false}
	case "inHg":
		return printUnit{"inHg", "inhg", 1 / 3386.389, 0, 2, false}
	case "C":
		return printUnit{"°C", "c", 1, kelvin, 1, false}
	case "F":
		return printUnit{"F", "f", 1.8, kelvin - 32/1.8, 1, false}
	case "lambda":
		return printUnit{"", "", 1, 0, 3, false}
	case "AFR":
		return printUnit{"AFR", "afr", 14.7, 0, 2, false}
	case "deg":
		return printUnit{"deg", "deg", 1 / deg, 0, 1, false}
	case "V":
		return printUnit{"V", "v", 1, 0, 2, false}
	case "km/h":
		return printUnit{"km/h", "kmh", 3.6, 0, 1, false}
	case "mph":
		return printUnit{"mph", "mph", 1 / 0.44704, 0, 1, false}
	case "m/s":
		return printUnit{"m/s", "mps", 1, 0, 2, false}
	case "m/s2":
		return printUnit{"m/s^2", "ms2", 1, 0, 2, false}
	case "g":
		return printUnit{"g", "g", 1 / grav, 0, 3, false}
	case "kg/h":
		return printUnit{"kg/h", "kgh", 3600, 0, 1, false}
	case "g/s":
		return printUnit{"g/s", "gps", 1000, 0, 2, false}
	case "lb/h":
		return printUnit{"lb/h", "lbh", 3600 / 0.45359237, 0, 1, false}
	case "L/min":
		return printUnit{"L/min", "lpm", 60e3 / rho, 0, 2, false}
	case "deg_pos":
		return printUnit{"deg", "deg", 1, 0, 7, false}
	case "0/1":
		return printUnit{"", "", 1, 0, 0, false}
	}
	return printUnit{"", "", 1, 0, 0, false}
}

func quantise(v, q float64) float64 {
	if q <= 0 {
		return v
	}
	return math.Round(v/q) * q
}
