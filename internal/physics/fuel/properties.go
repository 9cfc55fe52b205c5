package fuel

import (
	"math"

	"traplight/internal/quantity"
)

// Properties are what a pass's fuel side needs to know of a fuel.
type Properties struct {
	Name        string
	Stoich      quantity.Estimate // kg/kg, air to fuel at lambda 1
	LHV         quantity.Estimate // J/kg, lower heating value
	Density     quantity.Estimate // kg/m³ at 15 °C
	LatentHeat  quantity.Estimate // J/kg at 25 °C
	Expansion   float64           // 1/K, volume growth with temperature
	Ethanol     quantity.Estimate // 0–1, ethanol by volume
	Methanol    float64           // 0–1, methanol by volume
	BSFC        quantity.Estimate // kg/J, published for rich, boosted full load; see FullLoadBSFC
	MeasuredEth bool              // the ethanol content was measured
}

func est(v, sd float64) quantity.Estimate { return quantity.Estimate{Value: v, SD: sd} }

// Heating values and latent heats are those of the US Department of Energy's table
// "Properties of Fuels" (18 676, 11 585 and 8 637 Btu/lb; about 150, 396 and 506
// Btu/lb), within 1.5 % (heating) and 5 % (latent) of Heywood's table D.4 and of the
// formation enthalpies; the standard deviations cover these differences. Ethanol's
// density is that of Schroeder et al. (2014), gasoline's range EN 228's 720–775.
const (
	btuPerPound = 2326.0 // J/kg, exact

	expansionGasoline = 0.95e-3 // 1/K, common practice (ASTM D1250 tables give 0.9 to 1.1, from memory)
	expansionEthanol  = 1.08e-3 // 1/K, from 793.6 kg/m³ at 15 °C and 785.05 at 25 °C
	expansionMethanol = 1.19e-3 // 1/K, from memory
)

// PureGasoline is gasoline without oxygenates.
func PureGasoline() Properties {
	return Properties{
		Name: "gasoline", Stoich: est(14.7, 0.12), LHV: est(18676*btuPerPound, 0.4e6),
		Density: est(745, 14), LatentHeat: est(150*btuPerPound, 18e3), Expansion: expansionGasoline,
		BSFC: FullLoadBSFC(0, 0),
	}
}

// PureEthanol is ethanol without water.
func PureEthanol() Properties {
	return Properties{
		Name: "ethanol", Stoich: est(Ethanol.Stoichiometric(), 0.01), LHV: est(11585*btuPerPound, 0.13e6),
		Density: est(793.6, 1), LatentHeat: est(920.7e3, 20e3), Expansion: expansionEthanol, Ethanol: est(1, 0),
		BSFC: FullLoadBSFC(1, 0),
	}
}

// PureMethanol is methanol without water.
func PureMethanol() Properties {
	return Properties{
		Name: "methanol", Stoich: est(Methanol.Stoichiometric(), 0.01), LHV: est(8637*btuPerPound, 0.1e6),
		Density: est(796, 1.5), LatentHeat: est(506*btuPerPound, 25e3), Expansion: expansionMethanol, Methanol: 1,
		BSFC: FullLoadBSFC(0, 1),
	}
}

// DensityAt returns the density, kg/m³, at temperature t, K, for 240 to 340 K.
func (p Properties) DensityAt(t float64) quantity.Estimate {
	f := 1 / (1 + p.Expansion*(t-288.15))
	return est(p.Density.Value*f, p.Density.SD*f)
}

// lbPerHPH is one lb/(hp·h) in kg/J.
const lbPerHPH = 0.45359237 / (550 * 0.3048 * 0.45359237 * 9.80665 * 3600)

// FullLoadBSFC returns the brake-specific fuel consumption, kg/J, of rich, boosted
// engines at full load for a fuel with the volume fractions ethanol and methanol, 0–1,
// the rest gasoline. Ranges: gasoline 0.50–0.65, E85 0.70–0.95, methanol 1.0–1.4
// lb/(hp·h), common practice, no source; they are taken as even between their ends.
// Between the fuels the need of energy is interpolated.
func FullLoadBSFC(ethanol, methanol float64) quantity.Estimate {
	span := func(lo, hi float64) quantity.Estimate {
		return est((lo+hi)/2*lbPerHPH, (hi-lo)/math.Sqrt(12)*lbPerHPH)
	}
	g, e85, m := span(0.50, 0.65), span(0.70, 0.95), span(1.0, 1.4)
	// By volume: straight from gasoline over E85, on to pure ethanol.
	e := math.Max(0, math.Min(1, ethanol)) / 0.85
	value := g.Value + e*(e85.Value-g.Value)
	sd := g.SD + e*(e85.SD-g.SD)
	k := math.Max(0, math.Min(1, methanol))
	return est(value+k*(m.Value-value), sd+k*(m.SD-sd))
}

// Efficiency returns the brake efficiency, 1, that a consumption b, kg/J, means with
// heating value lhv, J/kg: power out over chemical power of all the fuel.
func Efficiency(b, lhv float64) float64 { return 1 / (b * lhv) }
