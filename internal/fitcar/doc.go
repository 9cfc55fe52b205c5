// Package fitcar fits the car model of package sim to one or many passes of the
// same car, with the car sheet as prior.
//
// The identification is in stages, each taking the measured inputs of the next
// so that an error in one does not run through the others:
//
//  1. engine: crank torque from the motion (force, inertia, drag) against engine
//     speed and manifold pressure; linear in a torque-per-pressure table with a
//     smoothness prior, friction from Heywood's equation.
//  2. air path: the rotor's balance, run with the measured engine speed, against
//     the measured manifold pressure; Levenberg–Marquardt with priors.
//  3. tyre: from the passes' fitted curve, else the used grip as a bound.
//  4. driver: where shifts begin against the aim, how long they take, how the
//     launch leaves the car; means and spreads shrunk to those of the trade.
//  5. each pass is run again with what its driver did; the torque scale of each
//     gear is set so that the energy gained in that gear comes out, and what
//     remains at the trap is kept as the pass's residual.
//
// Parameter uncertainty is an ensemble: each member repeats the stages with the
// unlearned figures (mass, drag area, inertias, …) drawn from their priors and the
// data disturbed by their noise (randomised maximum likelihood: D. S. Oliver,
// N. He, A. C. Reynolds, 1996, from memory). So what the data fix together stays
// together: a car with more drag is also a car with more torque.
//
// Sources: J. B. Heywood, "Internal Combustion Engine Fundamentals" (1988), eq.
// 13.6b (total motored friction of four-stroke spark-ignition engines against
// speed; from memory).
//
// Limits: passes that were faulty, lifted early or missed a gear teach what they
// can and are weighed down for the rest. A figure that the data cannot tell stays
// at its prior and is named in Model.Unlearned.
package fitcar
