// Package sizing answers what a car needs before the season: from a target trap speed and
// the car's sheet to power, air flow and pressure ratio, the compressor's place on its
// map, the turbine's swallowing, fuel system, gearing, torque by gear, tyre speed, the
// way to stop and what the brakes take.
//
// Method: a pass is run by a small mean model (constant grip, engine power over engine
// speed as one shape, shifts that cost time, boost that comes back after them, drag,
// rolling resistance, rotating inertia) and inverted for the power that just reaches the
// target. Every uncertain figure is drawn from its own spread; the same draws go through
// all that follows, so that what belongs together stays together. Figures are the median of
// the draws with the bounds between which nine of ten lie. Passes of the car itself
// (Measured) replace the assumed figures and set the level of power.
//
// It is no forecast: it knows nothing of one day's surface or driver. With the sheet alone
// its power is right to about a tenth; the bounds say how far.
//
// Sources stand with each figure in assume.go and in docs/sizing.md.
package sizing
