package fuel

import (
	"math"

	"traplight/internal/quantity"
)

// Part is one component of a blend.
type Part struct {
	Properties
	Volume float64 // 0–1, share by volume before mixing
}

// Mix returns the properties of a blend. Volumes are taken to add up (gasoline and
// ethanol expand by 0.2 to 0.5 % at most, from memory); stoichiometric air, heating
// value and latent heat add by mass, which for air and heat is exact. The shares
// need not add up to 1; at least one must be positive, else all values are NaN.
func Mix(parts ...Part) Properties {
	var volume, mass float64
	for _, p := range parts {
		volume += p.Volume
		mass += p.Volume * p.Density.Value
	}
	var out Properties
	if !(volume > 0) {
		n := est(math.NaN(), math.NaN())
		return Properties{Stoich: n, LHV: n, Density: n, LatentHeat: n, BSFC: n, Ethanol: n, Expansion: math.NaN(), Methanol: math.NaN()}
	}
	add := func(dst *quantity.Estimate, e quantity.Estimate, w float64) {
		dst.Value += w * e.Value
		dst.SD = math.Hypot(dst.SD, w*e.SD)
	}
	for _, p := range parts {
		v, w := p.Volume/volume, p.Volume*p.Density.Value/mass
		add(&out.Density, p.Density, v)
		add(&out.Ethanol, p.Properties.Ethanol, v)
		add(&out.Stoich, p.Stoich, w)
		add(&out.LHV, p.LHV, w)
		add(&out.LatentHeat, p.LatentHeat, w)
		out.Expansion += v * p.Expansion
		out.Methanol += v * p.Properties.Methanol
	}
	out.BSFC = FullLoadBSFC(out.Ethanol.Value, out.Methanol)
	return out
}

// EthanolBlend returns gasoline with the volume fraction e, 0–1, of ethanol, known to
// a standard deviation sd, 1 (0 for exact). The doubt in e is carried into every
// property. e is held within 0 to 1.
func EthanolBlend(e, sd float64) Properties {
	e = math.Max(0, math.Min(1, e))
	mix := func(e float64) Properties {
		return Mix(Part{PureGasoline(), 1 - e}, Part{PureEthanol(), e})
	}
	p := mix(e)
	if sd > 0 {
		lo, hi := math.Max(0, e-sd), math.Min(1, e+sd)
		a, b := mix(lo), mix(hi)
		k := sd / (hi - lo)
		widen := func(dst *quantity.Estimate, x, y quantity.Estimate) {
			dst.SD = math.Hypot(dst.SD, k*(y.Value-x.Value))
		}
		widen(&p.Stoich, a.Stoich, b.Stoich)
		widen(&p.LHV, a.LHV, b.LHV)
		widen(&p.Density, a.Density, b.Density)
		widen(&p.LatentHeat, a.LatentHeat, b.LatentHeat)
		widen(&p.BSFC, a.BSFC, b.BSFC)
		p.Ethanol.SD = sd
	}
	p.Name = blendName(e)
	return p
}
