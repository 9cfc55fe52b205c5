package health

import "math"

// grades are, by kind, how many times the smallest size that matters a finding's
// largest departure is from which it is moderate, and gross. Pressures that must
// not fall at all and ratios that hardly can differ in what is much.
var grades = map[Kind][2]float64{
	BoostLeak: {2.8, 5}, Underboost: {5, 12}, Overboost: {4, 14}, TurboOverspeed: {3, 7}, TurbineChoke: {2.5, 4.2},
	ChargeHeat: {4.5, 9}, Overheat: {2.2, 5}, Knock: {2.3, 4}, Ignition: {3.2, 8.5}, CylinderDown: {3.2, 7},
	MixtureLean: {2.2, 3.6}, MixtureImbalance: {4.5, 8}, FuelSupply: {5, 12}, OilSupply: {5.5, 13}, CoolantPressure: {2.2, 5.5},
	CrankcasePressure: {4, 10}, ClutchSlip: {3.5, 9}, Driveline: {1.7, 2.3}, Tyre: {2.5, 4}, Electrical: {4, 7.5},
}

// severityOf grades by the size of the largest departure over what matters at all.
func severityOf(c *candidate) Severity {
	r := 0.0
	grave, warned := false, false
	for _, o := range c.covered {
		if o.evidence > 4 {
			r = max(r, math.Abs(o.reached())/o.small)
		}
		grave, warned = grave || o.grave, warned || o.warned
	}
	g, ok := grades[c.kind]
	if !ok {
		g = [2]float64{2.5, 5}
	}
	switch {
	case r > g[1] || grave:
		return Gross
	case r > g[0] || warned:
		return Moderate
	}
	return Subtle
}

// How often a strength comes up on healthy passes of invented cars (docs/health.md), with
// 35 watches: with a history, on a first pass over that, and where the pass is unlike all
// earlier ones over that.
const (
	chanceAtNought = 0.10
	chanceFalls    = 0.55 // by which its logarithm falls for each unit of strength
	chanceAlone    = 0.3
	chanceUnlike   = 4.0
)

// chance is how often a candidate of this strength comes up on a healthy car in
// one pass; it grows with the number of watches. Beyond strength 8 it is an
// extrapolation, and no chance below 1 in 100 000 is claimed.
func (j *judge) chance(c *candidate) float64 {
	p := chanceAtNought * float64(len(j.obs)) / 35 * math.Exp(-chanceFalls*c.strength())
	switch {
	case len(j.past) == 0:
		p *= chanceAlone
	case len(j.unlike) > 0:
		p *= chanceUnlike
	}
	return max(1e-5, min(1, p))
}
