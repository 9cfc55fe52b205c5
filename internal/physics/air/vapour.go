package air

import "math"

// SaturationPressure returns the vapour pressure over liquid water, Pa, at
// temperature t, K. It is meant for 233 to 647 K; below the triple point it
// is that over supercooled water, which is what weather stations mean by relative
// humidity. It is NaN outside 200 to 647.096 K.
//
// Source: W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387, the
// auxiliary equation for the saturation pressure; stated right to 0.025 %.
// Below 273.16 K it is an extrapolation, within 0.4 % of the weather services'
// formula down to 253 K.
func SaturationPressure(t float64) float64 {
	const tc, pc = 647.096, 22.064e6 // K, Pa
	if !(t >= 200 && t <= tc) {
		return math.NaN()
	}
	th := 1 - t/tc
	s := math.Sqrt(th)
	sum := th * (-7.85951783 + 1.84408259*s + th*th*(-11.7866497+22.6807411*s-15.9618719*th))
	sum += 1.80122502 * math.Pow(th, 7.5)
	return pc * math.Exp(tc/t*sum)
}

// VapourPressure returns the partial pressure of water vapour, Pa, in air of
// temperature t, K, pressure p, Pa, and relative humidity rh, 0–1. The small
// enhancement over pure vapour (0.4 %) is that of CIPM-2007, see Density.
func VapourPressure(t, p, rh float64) float64 {
	return rh * enhancement(t, p) * SaturationPressure(t)
}

// HumidityFromDewPoint returns the relative humidity, 0–1, of air at temperature
// t, K, whose dew point is td, K. A dew point above the air temperature is a wrong
// reading and gives a value above 1, for the caller to complain of; NaN outside
// SaturationPressure's range.
//
// Source: definition of the dew point.
func HumidityFromDewPoint(t, td float64) float64 {
	return SaturationPressure(td) / SaturationPressure(t)
}

// DewPoint returns the dew point, K, of air at temperature t, K, and relative
// humidity rh, 0–1; NaN for rh of 0 or less and where the dew point lies below
// 200 K. It inverts SaturationPressure to 1e-9 K.
func DewPoint(t, rh float64) float64 {
	want := rh * SaturationPressure(t)
	if !(want >= SaturationPressure(200)) || want > SaturationPressure(647) {
		return math.NaN()
	}
	want = math.Log(want)
	lo, hi := 200.0, 647.0
	for hi-lo > 1e-9 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if math.Log(SaturationPressure(mid)) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
