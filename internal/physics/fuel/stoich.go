package fuel

import "math"

// Molar masses, kg/mol (IUPAC conventional atomic weights).
const (
	molarC = 12.011e-3
	molarH = 1.008e-3
	molarO = 15.999e-3
	molarN = 14.007e-3
	// Air of the combustion textbooks: 3.773 mol of atmospheric nitrogen
	// (28.16 g/mol, argon included) to one of oxygen. J. B. Heywood, Internal
	// Combustion Engine Fundamentals (1988), chapter 3, from memory.
	nitrogenPerOxygen = 3.773
	molarAirNitrogen  = 28.16e-3
)

// AirOxygen is the mass of oxygen in a mass of air, kg/kg: 0.2315.
const AirOxygen = 2 * molarO / (2*molarO + nitrogenPerOxygen*molarAirNitrogen)

// GasolineScale is what an air-fuel gauge on the gasoline scale shows at lambda 1,
// by custom and whatever the fuel.
const GasolineScale = 14.7

// Formula is a fuel CaHbOcNd; for a mixture of hydrocarbons the averages, such as
// CH1.87 for gasoline.
type Formula struct {
	C, H, O, N float64 // atoms in a molecule
}

// MolarMass returns the mass of a mole, kg/mol.
func (f Formula) MolarMass() float64 { return f.C*molarC + f.H*molarH + f.O*molarO + f.N*molarN }

// OxygenNeed returns the moles of O2 that burn a mole of fuel to carbon dioxide,
// water and nitrogen, mol/mol.
func (f Formula) OxygenNeed() float64 { return f.C + f.H/4 - f.O/2 }

// Stoichiometric returns the mass of air that burns a mass of fuel, kg/kg. It
// is NaN for an empty formula.
func (f Formula) Stoichiometric() float64 {
	m := f.MolarMass()
	if !(m > 0) {
		return math.NaN()
	}
	return f.OxygenNeed() * 2 * molarO / AirOxygen / m
}

// The fuels' formulas.
var (
	Methanol     = Formula{C: 1, H: 4, O: 1}
	Ethanol      = Formula{C: 2, H: 6, O: 1}
	Gasoline     = Formula{C: 1, H: 1.87} // average composition, Heywood, table D.4, from memory
	Isooctane    = Formula{C: 8, H: 18}
	Heptane      = Formula{C: 7, H: 16}
	Toluene      = Formula{C: 7, H: 8}
	Methane      = Formula{C: 1, H: 4}
	Nitromethane = Formula{C: 1, H: 3, O: 2, N: 1}
)
