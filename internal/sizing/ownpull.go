package sizing

import (
	"cmp"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

// OwnPull is the moment of peak power in one of the car's passes: what the engine made of
// the charge that it was given there.
type OwnPull struct {
	Crank     quantity.Estimate // W
	Speed     float64           // rad/s, engine
	Manifold  float64           // Pa absolute
	Charge    float64           // K in the manifold; 0 unknown
	Barometer float64           // Pa
	Ambient   float64           // K
	Loss      float64           // 1, share lost in the driveline with which Crank was worked out
}

const (
	// chargeDoubt is how far a thermometer in the charge is from what the cylinders take
	// at that moment, K: place and lag (common practice, no source).
	chargeDoubt = 5.0
	// manifoldDoubt is a manifold sensor's error, 1 (common practice, no source).
	manifoldDoubt = 0.01
)

// pullOf takes the moment of peak power from a pass without nitrous; false where the log does
// not tell power, pressure or the day's air.
func pullOf(o *OwnPass, loss float64) (OwnPull, bool) {
	p := o.Pass
	if p.Power == nil || p.Power.Crank == nil || p.AirPath == nil || p.Air == nil || p.Air.Source == "assumed" || onNitrous(o) {
		return OwnPull{}, false
	}
	a := p.AirPath
	u := OwnPull{*p.Power.Crank, p.Power.EngineSpeed, a.PeakManifold, a.PeakChargeTemp, a.Barometer.Value, p.Air.Temperature, loss}
	return u, u.Crank.Value > 0 && u.Crank.SD < 0.2*u.Crank.Value && u.Speed > 0 && u.Manifold > u.Barometer && u.Barometer > 0 && u.Ambient > 200
}

// onNitrous says whether a pass used nitrous: its power is not that of the charge alone.
func onNitrous(o *OwnPass) bool {
	if n := o.Note; n != nil && n.Nitrous != nil && *n.Nitrous {
		return true
	}
	return slices.ContainsFunc(o.Pass.Shifts, func(s pass.Shift) bool { return s.NitrousTime != nil && *s.NitrousTime > 0 })
}

// highestPulls are those nearest to what a faster car would need: at the highest pressure.
func highestPulls(u []OwnPull) []OwnPull {
	slices.SortStableFunc(u, func(a, b OwnPull) int { return cmp.Compare(b.Manifold, a.Manifold) })
	return u[:min(len(u), mostRuns)]
}

// peakOver is the engine speed of the pulls over that of the shifts, aim, rad/s; nil without
// any. Power is flat about its peak, so that a log places it within 2 % (common practice, no
// source).
func (m *Measured) peakOver(aim float64) *quantity.Estimate {
	var at gather
	for _, u := range m.Pulls {
		if k := u.Speed / aim; k > 0.75 && k < 1.1 {
			at.add(k, 0.02)
		}
	}
	return at.estimate()
}

// byPulls makes each draw of the air path agree with what the car's own passes made of
// their charge.
//
// A draw's cooler is set so that its compressor and cooler give the charge temperature that
// was read. Power over the charge's density and the engine's speed is volumetric efficiency
// times the work of a kilogram of air; where the passes tell it, the two are
// conditioned on it, each draw by its own disturbed reading, which gives draws of the posterior
// of a linear Gaussian model (A. G. Journel, C. J. Huijbregts, Mining Geostatistics (1978),
// section VII.A, conditioning by kriging of the difference; from memory). spread holds the standard
// deviations of the logarithms of fill and of the efficiency's and fuel's part of burn.
// It returns the mean manifold pressure of the pulls, Pa; 0 without any.
func (st *study) byPulls(d *airPath, spreadFill, spreadBurn float64) float64 {
	pulls := st.measured().Pulls
	if len(pulls) == 0 {
		return 0
	}
	warmth := st.draw("pull charge", quantity.Estimate{SD: chargeDoubt}, false)
	meter := st.draw("pull meter", quantity.Estimate{Value: 1, SD: meterDoubt(pulls)}, true)
	volume := st.q.Sheet.Displacement / (4 * math.Pi) // m³ a radian
	size := len(pulls)
	cool, work := make([]float64, size), make([]float64, size)
	told := meterDoubt(pulls)
	for i := range st.n {
		cooled := false
		for k := range pulls {
			u := &pulls[k]
			ratio := math.Max(1, (u.Manifold+math.Max(0, d.behind[i]))/(u.Barometer-math.Max(0, d.before[i])))
			b := breath{air: d.fill[i] * volume * u.Speed * u.Manifold / (compressor.GasAir * 330), inlet: u.Ambient + math.Max(0, d.rise[i]), ratio: ratio, inletPressure: u.Barometer - math.Max(0, d.before[i])}
			hot, cold := compressor.Outlet(b.inlet, ratio, st.compressorEfficiency(&b, d.efficiency[i]), compressor.GammaAir), u.Ambient+d.medium[i]
			charge := chargeOf(hot, cold, d.cooler[i])
			cool[k] = d.cooler[i]
			if u.Charge > 0 && hot > cold+20 {
				charge = u.Charge + warmth[i]
				cool[k] = math.Min(mostCooled, math.Max(leastCooled, compressor.Effectiveness(hot, charge, cold)))
				cooled = true
			}
			crank := u.Crank.Value * (1 - u.Loss) / st.fleet.cars[i].efficiency
			density := u.Manifold / (compressor.GasAir * charge)
			work[k] = math.Log(crank / (volume * u.Speed * density) * meter[i])
		}
		if cooled {
			d.cooler[i] = stats.Median(cool)
		}
		miss := stats.Median(work) - math.Log(d.fill[i]*d.burn[i])
		total := spreadFill*spreadFill + spreadBurn*spreadBurn + told*told
		d.fill[i] *= math.Exp(miss * spreadFill * spreadFill / total)
		k := math.Exp(miss * spreadBurn * spreadBurn / total)
		d.burn[i] *= k
		d.eff[i] *= k
	}
	sum := 0.0
	for k := range pulls {
		sum += pulls[k].Manifold / float64(size)
	}
	return sum
}

// meterDoubt is the standard deviation of the logarithm of power over pressure that the pulls
// tell, without the charge's temperature; sensors err alike in every pass.
func meterDoubt(pulls []OwnPull) float64 {
	rel := make([]float64, len(pulls))
	for k := range pulls {
		rel[k] = pulls[k].Crank.SD / pulls[k].Crank.Value
	}
	return math.Hypot(stats.Median(rel), manifoldDoubt)
}
