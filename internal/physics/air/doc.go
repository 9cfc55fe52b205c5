// Package air holds the laws of the air that a car breathes and is held back
// by: density of moist air, vapour pressure, the standard atmosphere, density
// altitude, the reading of a barometer, and the published power corrections.
//
// Everything is in SI: temperatures in K, pressures in Pa absolute, humidity as
// relative humidity over liquid water, 0–1. Each file names its source. The
// figures are checked against published values in the tests.
//
// What limits an answer is hardly ever the formulas (the density is right to
// about 1 part in 10 000) but the thermometer in the sun and the guessed
// humidity: 1 K is 0.35 % of density, 10 % of relative humidity at 25 °C is
// 0.12 %, 1 hPa is 0.1 %. State.DensityEstimate carries these.
package air
