package air

import "math"

// Constants of CIPM-2007.
const (
	gasConstant = 8.314472   // J/(mol·K), as the formula has it
	molarDry    = 0.02896546 // kg/mol, dry air with 400 µmol/mol of carbon dioxide
	molarWater  = 0.01801528 // kg/mol
	zeroCelsius = 273.15     // K
)

// Density returns the density of moist air, kg/m³, at temperature t, K,
// pressure p, Pa absolute, and relative humidity rh, 0–1. ok tells whether the
// state is one that weather can have (243 to 328 K, 50 to 115 kPa, 0 to 1); outside
// it the value is still the formula's, or NaN where that has none.
//
// Source: A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the
// density of moist air (CIPM-2007)", Metrologia 45 (2008) 149–155. Its
// stated uncertainty of 22 parts in a million holds for 15–27 °C and 60–110 kPa;
// elsewhere in the range of ok it stays within 0.1 % of two ideal gases.
func Density(t, p, rh float64) (rho float64, ok bool) {
	xv := rh * enhancement(t, p) * saturationCIPM(t) / p
	rho = p * molarDry / (compressibility(t, p, xv) * gasConstant * t) * (1 - xv*(1-molarWater/molarDry))
	ok = t >= 243 && t <= 328 && p >= 50e3 && p <= 115e3 && rh >= 0 && rh <= 1
	if t <= 0 || p <= 0 || !(rho > 0) || math.IsInf(rho, 0) {
		return math.NaN(), false
	}
	return rho, ok
}

// saturationCIPM is the saturation vapour pressure, Pa, of the formula's own
// annex.
func saturationCIPM(t float64) float64 {
	return math.Exp(1.2378847e-5*t*t - 1.9121316e-2*t + 33.93711047 - 6343.1645/t)
}

// enhancement is the factor by which air raises the vapour pressure over that of
// pure water.
func enhancement(t, p float64) float64 {
	c := t - zeroCelsius
	return 1.00062 + 3.14e-8*p + 5.6e-7*c*c
}

// compressibility is the departure from the ideal gas.
func compressibility(t, p, xv float64) float64 {
	c := t - zeroCelsius
	pt := p / t
	return 1 - pt*(1.58123e-6+c*(-2.9331e-8+c*1.1043e-10)+(5.707e-6-2.051e-8*c)*xv+(1.9898e-4-2.376e-6*c)*xv*xv) +
		pt*pt*(1.83e-11-0.765e-8*xv*xv)
}
