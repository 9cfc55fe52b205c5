package fuel

// Nitrous oxide, N2O.
const (
	NitrousMolarMass = 2*molarN + molarO // kg/mol
	// NitrousOxygen is the mass of oxygen in a mass of nitrous oxide, kg/kg, all of
	// it set free as O2 when it decomposes.
	NitrousOxygen = molarO / NitrousMolarMass
	// NitrousHeat is set free by its decomposition, J/kg: 82.05 kJ/mol (NIST
	// WebBook's formation enthalpy, from memory; other tables have 81.6).
	NitrousHeat = 82.05e3 / NitrousMolarMass
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
