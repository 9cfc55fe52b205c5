package sizing

import (
	"math"
	"slices"

	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

// Schedule is what the sheet's own boost would make, by the same figures as the target's.
type Schedule struct {
	Boost float64 `json:"boost_pa"`      // Pa gauge, the highest of the sheet's schedule
	Power *Figure `json:"crank_power_w"` // W
}

// drawnPath are the draws of the air path, in the order of the cases.
type drawnPath struct {
	fill, cooler, rise, medium, before, behind, efficiency []float64
	burn                                                   []float64 // J/kg of air, work at the crank
}

// schedule turns the engine round: from the boost that the sheet states to the power that it
// makes. An owner knows what his car does at that boost, and so whether the assumptions fit it.
func (st *study) schedule(d *drawnPath) *Schedule {
	if len(st.q.Sheet.UsualBoost) == 0 {
		return nil
	}
	boost := slices.Max(st.q.Sheet.UsualBoost)
	power := nans(st.n)
	for i := range power {
		day := st.fleet.air[i]
		b := breath{manifold: day.Pressure + boost, inlet: day.Temperature + math.Max(0, d.rise[i])}
		b.inletPressure = day.Pressure - math.Max(0, d.before[i])
		b.ratio = math.Max(1, (b.manifold+math.Max(0, d.behind[i]))/b.inletPressure)
		swept := d.fill[i] * st.q.Sheet.Displacement * st.fleet.cars[i].peakSpeed / (4 * math.Pi) // m³/s of charge
		cold := day.Temperature + d.medium[i]
		b.charge = 320
		for range 20 { // the map's efficiency hangs on the flow
			b.air = swept * b.manifold / (compressor.GasAir * b.charge)
			b.outlet = compressor.Outlet(b.inlet, b.ratio, st.compressorEfficiency(&b, d.efficiency[i]), compressor.GammaAir)
			b.charge = chargeOf(b.outlet, cold, d.cooler[i])
		}
		power[i] = b.air * d.burn[i]
	}
	return &Schedule{boost, figureOf(quantity.DimPower, power)}
}

// chargeOf is the temperature behind the cooler, K, from the compressor's outlet and the
// cooling medium, K, and the cooler's effectiveness, 1. Without boost the charge is not
// cooled by its own medium.
func chargeOf(outlet, cold, effectiveness float64) float64 {
	if outlet < cold {
		return outlet
	}
	return compressor.Cooled(outlet, cold, math.Min(1, math.Max(0.2, effectiveness)))
}
