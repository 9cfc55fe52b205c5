// Package gpd fits the generalised Pareto law to what is over a threshold: the tail of a
// background.
//
// Sources: Pickands (1975), Ann. Statist. 3, 119–131; Grimshaw (1993),
// Technometrics 35, 185–191 for the one-dimensional likelihood; Coles, An
// Introduction to Statistical Modeling of Extreme Values (2001), chapter 4 (all from memory).
// Checked on the published sea levels of Port Pirie against two general-purpose packages. A
// shape ξ > 0 is a heavy tail, ξ < 0 one that ends. Below ξ = −½ the likelihood has no regular
// maximum; fits are kept above it and say so.
package gpd

import "errors"

// ErrFew says that there are too few or too equal values for a tail.
var ErrFew = errors.New("gpd: too few different values to fit a tail")

// MinShape is the lower bound of the shape, unit 1.
const MinShape = -0.5
