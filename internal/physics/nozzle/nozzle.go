// Package nozzle holds the one-dimensional flow of a perfect gas without loss: the mass that
// passes an orifice, which is the law of throttles, wastegates, turbine housings and leaks.
//
// Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), appendix C (from
// memory); the tables of NACA Report 1135 (1953) are the check. What it leaves out:
// friction, heat, swirl and the change of a discharge coefficient with pressure ratio; for a
// real opening these hide in the effective area, which has to be measured.
//
// In all functions gamma is the ratio of specific heats, 1, above 1 (air 1.40, exhaust
// 1.30 to 1.35), and gas the specific gas constant, J/(kg·K).
package nozzle

import "math"

// Critical returns the ratio of downstream to upstream pressure, 1, at and below which
// the flow is choked.
func Critical(gamma float64) float64 { return math.Pow(2/(gamma+1), gamma/(gamma-1)) }

// Function returns the flow function Ψ, 1, at the ratio pr, 1, of downstream static to
// upstream stagnation pressure. Below the critical ratio it stays at its choked value; it
// is 0 for pr of 1 and above.
func Function(pr, gamma float64) float64 {
	if pr >= 1 {
		return 0
	}
	pr = math.Max(pr, Critical(gamma))
	return math.Sqrt(2 * gamma / (gamma - 1) * (math.Pow(pr, 2/gamma) - math.Pow(pr, (gamma+1)/gamma)))
}

// MassFlow returns the flow, kg/s, through effective area, m² (geometric area times
// discharge coefficient), from stagnation pressure up, Pa, and temperature t, K, to
// static pressure down, Pa. Flow never goes backwards: it is 0 when down is up or more.
func MassFlow(area, up, down, t, gamma, gas float64) float64 {
	return area * up / math.Sqrt(gas*t) * Function(down/up, gamma)
}

// Area is the inverse of MassFlow: the effective area, m², that passes flow, kg/s. It
// is NaN when there is no pressure difference to drive a positive flow.
func Area(flow, up, down, t, gamma, gas float64) float64 {
	per := MassFlow(1, up, down, t, gamma, gas)
	if flow == 0 {
		return 0
	}
	if !(per > 0) {
		return math.NaN()
	}
	return flow / per
}

// Upstream returns the stagnation pressure, Pa, that drives flow, kg/s, through
// effective area, m², against the static pressure down, Pa, from temperature t, K. For a
// turbine's swallowing this is the turbine-inlet pressure. NaN for an area or pressure that
// is not positive or a negative flow.
func Upstream(flow, area, down, t, gamma, gas float64) float64 {
	if !(area > 0) || !(down > 0) || !(flow >= 0) || !(t > 0) {
		return math.NaN()
	}
	// Choked: flow is proportional to the upstream pressure.
	k := flow * math.Sqrt(gas*t) / area // = up·Ψ
	if up := k / Function(0, gamma); up*Critical(gamma) >= down {
		return up
	}
	lo, hi := down, down/Critical(gamma)
	for i := 0; i < 200 && hi-lo > 1e-12*hi; i++ {
		mid := (lo + hi) / 2
		if mid*Function(down/mid, gamma) < k {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
