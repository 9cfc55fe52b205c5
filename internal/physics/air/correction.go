package air

import "math"

// The published corrections multiply measured full-load power to give what the
// engine would have made in reference air. All of them were made for engines that
// breathe freely. A turbocharged engine whose boost is controlled makes up for
// thin air by itself: for such an engine they overstate, and whoever shows
// them has to say so. (A proposal to amend ECE R85, GRPE-70-02 of December 2014,
// removes the correction for such engines with that reason.)

// CorrectionJ1349 returns the power correction of SAE J1349 for spark-ignition
// engines, 1, at air temperature t, K, pressure p, Pa absolute, and relative
// humidity rh, 0–1; within tells whether the factor lies in the standard's range of
// use, 0.93 to 1.07. Reference: 99 kPa dry, 25 °C.
//
// Source: SAE J1349 (revisions 1990 to 2004), with the friction share for a
// mechanical efficiency of 85 %; from memory, agrees with many open codes.
func CorrectionJ1349(t, p, rh float64) (factor float64, within bool) {
	pd := p - VapourPressure(t, p, rh)
	factor = 1.18*(99e3/pd)*math.Sqrt(t/298.15) - 0.18
	return factor, factor >= 0.93 && factor <= 1.07
}

// countedFrom is how much colder than absolute zero, K, the older standards begin: they count
// temperature from −273 °C.
const countedFrom = zeroCelsius - 273

// CorrectionISO1585 returns the power correction of ISO 1585 and ECE R85 for
// spark-ignition engines, 1, with arguments as CorrectionJ1349; range of use 0.93 to
// 1.07. Reference: 99 kPa dry, 25 °C, counted from −273 °C. From memory.
func CorrectionISO1585(t, p, rh float64) (factor float64, within bool) {
	pd := p - VapourPressure(t, p, rh)
	factor = math.Pow(99e3/pd, 1.2) * math.Pow((t-countedFrom)/298, 0.6)
	return factor, factor >= 0.93 && factor <= 1.07
}

// CorrectionDIN70020 returns the old power correction of DIN 70020, 1, at air
// temperature t, K, and total pressure p, Pa. Reference: 1013 hPa, 20 °C, counted from −273 °C; humidity is
// not considered and no range of use is known to us. From memory.
func CorrectionDIN70020(t, p float64) float64 {
	return 101.3e3 / p * math.Sqrt((t-countedFrom)/293)
}

// CorrectionJ607 returns the old power correction of SAE J607, 1, with arguments
// as CorrectionJ1349. Reference: 29.92 inHg dry, 60 °F. From memory.
func CorrectionJ607(t, p, rh float64) float64 {
	pd := p - VapourPressure(t, p, rh)
	const reference = 29.92 * 3386.38864 // Pa
	// The standard counts temperature from −460 °F.
	fahrenheit := (t-zeroCelsius)*1.8 + 32
	return reference / pd * math.Sqrt((fahrenheit+460)/520)
}
