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

// schedule turns the engine round: from the boost that the sheet states to the power that it
// makes. An owner knows what his car does at that boost, and so whether the assumptions fit it.
func (st *study) schedule(d *airPath) *Schedule {
	if len(st.q.Sheet.UsualBoost) == 0 {
		return nil
	}
	boost := slices.Max(st.q.Sheet.UsualBoost)
	power := nans(st.n)
	for i := range power {
		day := st.fleet.air[i]
		b := breath{manifold: day.Pressure + boost, inlet: day.Temperature + math.Max(0, d.rise[i])}
		b.inletPressure = day.Pressure - math.Max(0, d.before[i])
		swept := st.swept(d, i, st.fleet.cars[i].peakSpeed, b.manifold)
		cold := day.Temperature + d.medium[i]
		b.charge = 320
		for range 20 { // the map's efficiency hangs on the flow
			b.air = swept * b.manifold / (compressor.GasAir * b.charge)
			st.outletOf(&b, d, i)
			b.charge = chargeOf(b.outlet, cold, d.cooler[i])
		}
		power[i] = b.air * d.burn[i]
	}
	return &Schedule{boost, figureOf(quantity.DimPower, power)}
}

// Bounds of a cooler's effectiveness, 1: over 1 where ice or a tank has made the medium colder
// than the air.
const leastCooled, mostCooled = 0.2, 1.2

// chargeOf is the temperature behind the cooler, K, from the compressor's outlet and the
// cooling medium, K, and the cooler's effectiveness, 1. Without boost the charge is not
// cooled by its own medium.
func chargeOf(outlet, cold, effectiveness float64) float64 {
	if outlet < cold {
		return outlet
	}
	return compressor.Cooled(outlet, cold, math.Min(mostCooled, math.Max(leastCooled, effectiveness)))
}
