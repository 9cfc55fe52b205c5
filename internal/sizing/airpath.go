package sizing

import (
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

// airPath is the draws of the engine and its air path, in the order of the cases.
type airPath struct {
	eff, lambda, lhv, stoich                               []float64 // 1, 1, J/kg, kg/kg
	burn                                                   []float64 // J/kg of air, work at the crank
	fill, cooler, rise, medium, before, behind, efficiency []float64 // 1, 1, K, K, Pa, Pa, 1
	seen                                                   float64   // Pa absolute, at which the own passes made their power; 0 without any
	beyond                                                 []float64 // 1, standard normal: what nobody saw beyond it
}

// drawPath draws engine and air path from the car's own passes, or from what is assumed.
func (st *study) drawPath() *airPath {
	m := st.measured()
	eff, effFrom := own(m.Efficiency, efficiencyOf(st.fuel.Properties), "published range of consumption at rich full load ("+practice+")")
	lam, lamFrom := own(m.Lambda, richness, practice)
	d := &airPath{eff: st.draw("efficiency", eff, true), lambda: st.draw("lambda", lam, false),
		lhv: st.draw("heating value", st.fuel.LHV, true), stoich: st.draw("stoichiometry", st.fuel.Stoich, true), burn: nans(st.n)}
	for i := range d.burn {
		l := d.lambda[i]
		d.burn[i] = d.eff[i] * d.lhv[i] * math.Min(l, 1) / (l * d.stoich[i])
	}
	if !(st.q.Sheet.Displacement > 0) {
		st.assume("brake efficiency over the heat that the air can set free", eff, "", effFrom)
		st.assume("lambda at full load", lam, "", lamFrom)
		return d
	}
	ve, veFrom := own(m.Fill, fillOf(st.fuel.Properties), practice+", with the charge that the fuel cools")
	cool, coolFrom := own(m.Cooler, coolerEf, practice)
	d.fill, d.cooler = st.draw("fill", ve, true), st.draw("cooler", cool, false)
	d.rise, d.medium = st.draw("inlet rise", inletRise, false), st.draw("coolant rise", coolantRise, false)
	d.before, d.behind = st.draw("inlet loss", inletLoss, false), st.draw("cooler loss", coolerLoss, false)
	d.efficiency = st.draw("compressor", compressorEf, false)
	d.beyond = st.draw("beyond own boost", quantity.Estimate{SD: 1}, false)
	rel := func(e quantity.Estimate) float64 { return e.SD / e.Value }
	d.seen = st.byPulls(d, rel(ve), math.Hypot(rel(eff), rel(st.fuel.LHV)))
	if d.seen > 0 {
		eff, ve = spreadOf(d.eff), spreadOf(d.fill)
		effFrom, veFrom = together(effFrom), together(veFrom)
		if st.chargeRead() {
			cool, coolFrom = spreadOf(d.cooler), "own passes: charge temperature"
		}
	}
	st.assume("brake efficiency over the heat that the air can set free", eff, "", effFrom)
	st.assume("lambda at full load", lam, "", lamFrom)
	st.assume("volumetric efficiency over the manifold's density", ve, "", veFrom)
	st.assume("effectiveness of the cooler", cool, "", coolFrom)
	st.assume("compressor inlet over ambient", inletRise, "K", practice)
	st.assume("cooling medium over ambient", coolantRise, "K", practice)
	st.assume("pressure lost before the compressor", inletLoss, "Pa", practice)
	st.assume("pressure lost in cooler and pipes", coolerLoss, "Pa", practice)
	if st.q.Map == nil || !st.q.Map.HasEfficiency() {
		st.assume("efficiency of the compressor", compressorEf, "", practice)
	}
	return d
}

// swept is the charge, m³/s at manifold conditions times filling, of draw i at engine speed
// w, rad/s, and manifold pressure p, Pa: beyond the pressure that the own passes ran, knock,
// ignition and back pressure may cost power or not.
func (st *study) swept(d *airPath, i int, w, p float64) float64 {
	v := d.fill[i]
	if d.seen > 0 {
		v *= math.Exp(stretch * d.beyond[i] * math.Abs(math.Log(p/d.seen)))
	}
	return v * st.q.Sheet.Displacement * w / (4 * math.Pi)
}

// outletOf fills in ratio, efficiency and temperature behind the compressor of a breath whose
// air, manifold pressure and inlet are known.
func (st *study) outletOf(b *breath, d *airPath, i int) {
	b.ratio = math.Max(1, (b.manifold+math.Max(0, d.behind[i]))/b.inletPressure)
	b.eta = st.compressorEfficiency(b, d.efficiency[i])
	b.outlet = compressor.Outlet(b.inlet, b.ratio, b.eta, compressor.GammaAir)
}

func (st *study) chargeRead() bool {
	for _, u := range st.measured().Pulls {
		if u.Charge > 0 {
			return true
		}
	}
	return false
}

// together says that a figure was brought into line with the own passes' power.
func together(from string) string {
	if from == "own passes" {
		return from
	}
	return "own passes: power at their boost; before that " + from
}

func spreadOf(x []float64) quantity.Estimate {
	f := figureOf("", x)
	return quantity.Estimate{Value: f.Value, SD: f.SD}
}
