// Package ledger accounts for the speed that a pass lost at the trap, by cause.
//
// The fitted car is run again as the driver ran it, with causes made ideal one
// at a time and together, always with the same air, wind and driver (common
// random numbers: nothing but the cause differs). Two groups are not mixed. Ours,
// what the crew can change, is shared out by the Shapley value over all subsets of
// its causes, the given ones as they were, so that the lines add up to the
// difference between this pass and the pass with all of ours ideal. Given causes
// stand each alone.
//
// Each line is computed for every member of the fit's ensemble; its standard
// deviation is the spread over the members and what the replay missed.
//
// Source: L. S. Shapley, "A value for n-person games", Contributions to the Theory
// of Games II (1953) 307–317.
//
// Limits: a cause is ideal in the model, not on the strip: perfect grip says
// nothing of how to get it. Gains alone do not add up; a faster shift also saves
// boost.
package ledger
