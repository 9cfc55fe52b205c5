// Package tyre holds what textbooks and standards say of tyres: what is written
// on the sidewall (size, load index, speed symbol), the rolling radius, the
// longitudinal force as a magic formula with load sensitivity, and the load that
// acceleration shifts from axle to axle with the traction that follows from it.
//
// All values are in SI. Each file names its source; the tests name one beside each
// figure. Nothing here is fitted to any car: a car's own grip is learnt from
// its passes elsewhere.
package tyre
