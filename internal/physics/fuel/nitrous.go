package fuel

import "math"

// Nitrous oxide, N2O.
const (
	NitrousMolarMass = 2*molarN + molarO // kg/mol
	// NitrousOxygen is the mass of oxygen in a mass of nitrous oxide, kg/kg, all of
	// it set free as O2 when it decomposes.
	NitrousOxygen = molarO / NitrousMolarMass
	// NitrousHeat is set free by its decomposition, J/kg: 82.05 kJ/mol (NIST
	// WebBook's formation enthalpy, from memory; other tables have 81.6).
	NitrousHeat = 82.05e3 / NitrousMolarMass
	// NitrousCriticalTemperature, K: above it there is no liquid in the bottle, and
	// pressure rises steeply with the fill (ESDU 91022).
	NitrousCriticalTemperature = 309.57
	nitrousCriticalPressure    = 7251e3 // Pa
	nitrousCriticalDensity     = 452    // kg/m³
	nitrousTriplePoint         = 182.33 // K
)

// NitrousPerFuel returns the mass of nitrous oxide alone that burns a mass of fuel
// whose stoichiometric ratio with air is stoich, kg/kg.
func NitrousPerFuel(stoich float64) float64 { return stoich * AirOxygen / NitrousOxygen }

// FuelForNitrous returns the mass flow of fuel, kg/s, that keeps lambda, 1, when the
// mass flow n2o, kg/s, of nitrous oxide joins, for a fuel whose stoichiometric ratio with
// air is stoich, kg/kg.
func FuelForNitrous(n2o, stoich, lambda float64) float64 {
	return n2o / (NitrousPerFuel(stoich) * lambda)
}

// NitrousSaturation returns vapour pressure, Pa, and the densities of liquid and
// vapour, kg/m³, of nitrous oxide at temperature t, K, from 182.33 K to the critical
// point; ok is false outside, where there is no saturated liquid.
//
// Source: ESDU 91022, "Thermophysical properties of nitrous oxide" (1991), as used in
// many open codes. Against the equation of state of Lemmon and Span (2006): pressure
// within 0.3 %, liquid within 0.5 % from −20 to 30 °C (1.2 % at the boiling point), vapour within 2 % below 30 °C.
func NitrousSaturation(t float64) (p, liquid, vapour float64, ok bool) {
	if !(t >= nitrousTriplePoint && t <= NitrousCriticalTemperature) {
		return math.NaN(), math.NaN(), math.NaN(), false
	}
	tr := t / NitrousCriticalTemperature
	th := 1 - tr
	p = nitrousCriticalPressure * math.Exp((-6.71893*th+1.35966*math.Pow(th, 1.5)-1.3779*math.Pow(th, 2.5)-4.051*math.Pow(th, 5))/tr)
	c := math.Cbrt(th)
	liquid = nitrousCriticalDensity * math.Exp(1.72328*c-0.8395*c*c+0.5106*th-0.10412*th*c)
	u := 1/tr - 1
	d := math.Cbrt(u)
	vapour = nitrousCriticalDensity * math.Exp(-1.009*d-6.28792*d*d+7.50332*u-7.90463*u*d+0.629427*u*d*d)
	return p, liquid, vapour, true
}

// NitrousTemperature returns the temperature, K, at which saturated nitrous oxide has
// pressure p, Pa; ok is false when no saturated liquid has it.
func NitrousTemperature(p float64) (t float64, ok bool) {
	lo, hi := nitrousTriplePoint, NitrousCriticalTemperature
	at := func(t float64) float64 { v, _, _, _ := NitrousSaturation(t); return v }
	if !(p >= at(lo) && p <= at(hi)) {
		return math.NaN(), false
	}
	for hi-lo > 1e-9 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if at(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, true
}
