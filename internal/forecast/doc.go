// Package forecast says what a pass to come will bring: trap speed and time with
// their spread, the chance of the target, top speed and stopping distance.
//
// It is a Monte Carlo over the fit's ensemble (what is not known of the car), the
// driver's launches and shifts, wind, grip of the day, and what the model has missed
// so far. Every draw has its random numbers from a stream of its own, so that two
// sets of settings are compared under the same luck (common random numbers).
//
// What the replays of past passes missed at the trap is carried on: a Gaussian
// process over time with a part that lasts for a day (weather, engine, track) and one
// that does not (wind, gusts, the clock), so a pass an hour ago says more than one of
// yesterday.
//
// Scores: T. Gneiting, A. E. Raftery, "Strictly Proper Scoring Rules, Prediction,
// and Estimation", JASA 102 (2007) 359–378.
//
// Limits: a missed shift, an early lift or a fault is not in the spread. A change
// whose effect the car has never shown is taken from a wide prior and named in Notes.
package forecast
