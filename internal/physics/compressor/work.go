package compressor

import "math"

// Gas properties that the textbooks use for air and for exhaust of a rich spark-ignition
// engine. H. Saravanamuttoo, G. Rogers, H. Cohen, Gas Turbine Theory, chapter 2 (from
// memory).
const (
	CpAir      = 1005.0 // J/(kg·K)
	GammaAir   = 1.4    // 1
	GasAir     = 287.05 // J/(kg·K)
	CpExhaust  = 1150.0 // J/(kg·K)
	GammaGas   = 1.33   // 1, exhaust
	GasExhaust = 287.0  // J/(kg·K)
)

// Outlet returns the temperature, K, behind a compressor of isentropic efficiency
// eta, 0–1, that takes air of temperature t1, K, to pr, 1, times its pressure; gamma is the
// ratio of specific heats, 1.
func Outlet(t1, pr, eta, gamma float64) float64 {
	return t1 * (1 + (math.Pow(pr, (gamma-1)/gamma)-1)/eta)
}

// Efficiency is the inverse of Outlet: the isentropic efficiency, 1, of a compressor
// that takes air from t1 to t2, K, at pressure ratio pr, 1. A sensor behind a compressor
// loses heat and lags, so the figure from a log is an upper bound in a short pull. NaN
// when t2 is not above t1.
func Efficiency(t1, t2, pr, gamma float64) float64 {
	if !(t2 > t1) {
		return math.NaN()
	}
	return t1 * (math.Pow(pr, (gamma-1)/gamma) - 1) / (t2 - t1)
}

// Work returns the specific work, J/kg, that takes gas of heat capacity cp, J/(kg·K), from t1
// to t2, K, without heat loss.
func Work(t1, t2, cp float64) float64 { return cp * (t2 - t1) }

// Cooled returns the temperature, K, behind a cooler of effectiveness eps, 0–1, with
// charge entering at hot and coolant at cold, K (definition of effectiveness).
func Cooled(hot, cold, eps float64) float64 { return hot - eps*(hot-cold) }

// Effectiveness is the inverse of Cooled: of a cooler that takes charge from hot to out,
// K, with coolant at cold, K. NaN when hot is not above cold.
func Effectiveness(hot, out, cold float64) float64 {
	if !(hot > cold) {
		return math.NaN()
	}
	return (hot - out) / (hot - cold)
}
