package sizing

import (
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

const (
	// warm is the charge before the fuel cools it, K, at which its cooling is reckoned; 20 K
	// more or less change the volumetric efficiency of a methanol engine by 1 %.
	warm = 340.0

	// Molar masses, kg/kmol: air's is that of dry air, gasoline's a mean one (Heywood, table
	// D.4, from memory), the alcohols' follow from their formulas.
	molarAir, molarGasoline, molarEthanol, molarMethanol = 28.96, 105.0, 46.07, 32.04
)

// evaporated is the share of the fuel, 0–1, that takes its heat from the charge before the
// valves close; the rest takes it from walls or evaporates later. It is common practice,
// without a source. Saturation allows as much: methanol's 18 kPa at 300 K (Antoine's
// equation, from memory) in 350 kPa is 0.06 kg of vapour a kilogram of air, of 0.19 injected.
var evaporated = quantity.Estimate{Value: 0.3, SD: 0.12}

// fillOf is the volumetric efficiency, 1, over the density in the manifold, where the fuel has
// not been in the charge yet. What was measured on gasoline engines holds gasoline's own
// cooling; another fuel cools by more and displaces more air as vapour.
func fillOf(p fuel.Properties) quantity.Estimate {
	gain := func(share float64) float64 {
		return cooledBy(p, share) / cooledBy(fuel.PureGasoline(), share)
	}
	g := gain(evaporated.Value)
	sd := (gain(evaporated.Value+evaporated.SD) - gain(evaporated.Value-evaporated.SD)) / 2
	return quantity.Estimate{Value: fill.Value * g, SD: math.Hypot(fill.SD*g, fill.Value*sd)}
}

// cooledBy is the air, 1, that fits into a volume once a share, 0–1, of the fuel at full-load
// mixture has evaporated in it, over what fits in without.
func cooledBy(p fuel.Properties, share float64) float64 {
	vapour := share / (richness.Value * p.Stoich.Value) // kg a kilogram of air
	drop := vapour * p.LatentHeat.Value / compressor.CpAir
	eth := math.Min(1, p.Ethanol.Value)
	kilomole := eth*molarEthanol + p.Methanol*molarMethanol + math.Max(0, 1-eth-p.Methanol)*molarGasoline
	return warm / (warm - drop) / (1 + vapour*molarAir/kilomole)
}
