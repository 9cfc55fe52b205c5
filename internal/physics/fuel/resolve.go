package fuel

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// Known is what is known of the fuel in the tank; the zero value is "nothing".
type Known struct {
	Name    string  // as the owner writes it; "" not known
	Stoich  float64 // kg/kg, as the owner states it; 0 or NaN not known
	Density float64 // kg/m³, as the owner states it; 0 or NaN not known
	// Ethanol is the content by volume, 0–1, as a sensor measured it; nil not
	// measured. A zero SD means 0.03, what flex-fuel sensors state (±3 to 5 % of
	// ethanol, from memory).
	Ethanol *quantity.Estimate
}

// Answer is a fuel worked out from what is known.
type Answer struct {
	Properties
	Source   string   // where the stoichiometry is from: "measured ethanol content", "stoich_afr", "fuel name", "assumed"
	Warnings []string // contradictions, a sentence each
}

const (
	sensorSD     = 0.03  // 1, of a measured ethanol fraction
	statedSD     = 0.01  // relative, of a stated stoichiometry
	statedDens   = 0.007 // relative, of a stated density
	contradicted = 0.03  // relative difference that is told
)

// Resolve decides what the fuel is. Stoichiometry comes, in this order, from the
// measured ethanol content, the stated figure, the name; when two of them differ by
// more than 3 % the answer carries a warning. Density: the stated figure, else what
// the content or name means.
//
// A measured content says nothing of a fuel that holds methanol: it is not used when
// the name says methanol.
func Resolve(k Known) Answer {
	named, nameKnown := ByName(k.Name)
	stated := k.Stoich > 0
	measured := k.Ethanol != nil && k.Ethanol.Value >= 0 && k.Ethanol.Value <= 1 && !(nameKnown && named.Methanol > 0.02)
	var a Answer
	switch {
	case measured:
		sd := k.Ethanol.SD
		if !(sd > 0) {
			sd = sensorSD
		}
		a.Properties = EthanolBlend(k.Ethanol.Value, sd)
		a.MeasuredEth = true
		a.Source = "measured ethanol content"
	case stated:
		a.Properties = statedFuel(k.Stoich, named, nameKnown)
		a.Source = "stoich_afr"
	case nameKnown:
		a.Properties, a.Source = named, "fuel name"
	default:
		a.Properties, a.Source = named, "assumed"
		if k.Name != "" {
			a.Warnings = append(a.Warnings, fmt.Sprintf("The fuel %q is not known by name; state stoich_afr and fuel_density_kg_m3.", k.Name))
		}
	}
	warn := func(what string, x float64, y quantity.Estimate, other string) {
		// A name with a wide spread contradicts only beyond it.
		if math.Abs(x/y.Value-1) > math.Max(contradicted, y.SD/y.Value) {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%s means a stoichiometric ratio of %.2f, but %s means %.2f; the first is used.", what, x, other, y.Value))
		}
	}
	if measured {
		what := fmt.Sprintf("The measured ethanol content of %.0f %%", 100*k.Ethanol.Value)
		switch {
		case stated:
			warn(what, a.Stoich.Value, est(k.Stoich, 0), "stoich_afr")
		case nameKnown:
			warn(what, a.Stoich.Value, named.Stoich, fmt.Sprintf("the fuel name %q", k.Name))
		}
	} else if stated && nameKnown {
		warn(fmt.Sprintf("The stated stoich_afr of %.2f", k.Stoich), k.Stoich, named.Stoich, fmt.Sprintf("the fuel name %q", k.Name))
	}
	if k.Density > 0 {
		if math.Abs(k.Density/a.Density.Value-1) > 0.08 {
			a.Warnings = append(a.Warnings, fmt.Sprintf("The stated fuel density of %.0f kg/m³ is far from the %.0f kg/m³ of such a fuel.", k.Density, a.Density.Value))
		}
		a.Density = est(k.Density, statedDens*k.Density)
	}
	return a
}

// statedFuel finds the properties that go with a stated stoichiometry: a blend of
// ethanol between gasoline and ethanol unless the name says methanol. Between 14.7
// and 9.0 heating value follows stoichiometry closely (2.93 to 2.98 MJ a kilogram of
// air), so little hangs on the kind of blend.
func statedFuel(stoich float64, named Properties, nameKnown bool) Properties {
	p := named
	switch {
	case nameKnown && named.Methanol > 0.02:
	case nameKnown && math.Abs(stoich/named.Stoich.Value-1) < contradicted:
	default:
		p = EthanolBlend(ethanolFor(stoich), 0.02)
		p.Name = named.Name
		if !nameKnown {
			p.Name = blendName(math.Round(100*ethanolFor(stoich)) / 100)
		}
	}
	// Heat goes with the air that the fuel burns.
	p.LHV.Value *= stoich / p.Stoich.Value
	p.LHV.SD = math.Hypot(0.015*p.LHV.Value, math.Min(p.LHV.SD, 0.02*p.LHV.Value))
	p.Stoich = est(stoich, statedSD*stoich)
	return p
}

// ethanolFor returns the ethanol fraction by volume, 0–1, whose blend has that
// stoichiometry, kg/kg, held within 0 to 1.
func ethanolFor(stoich float64) float64 {
	g, e := PureGasoline(), PureEthanol()
	w := (g.Stoich.Value - stoich) / (g.Stoich.Value - e.Stoich.Value) // by mass
	v := w / e.Density.Value / (w/e.Density.Value + (1-w)/g.Density.Value)
	return math.Max(0, math.Min(1, v))
}
