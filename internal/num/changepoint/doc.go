// Package changepoint finds where a series changes its level, its slope or its
// relation to known regressors, in one channel or in several at once.
//
//   - Single tests and places one break in the mean: F over all places, and an
//     interval for the place (Bai 1997, Rev.
//     Economics and Statistics 79, 551–563, from memory).
//   - Scan looks for the onset of a disturbance of known shapes (step, ramp,
//     passing bump, in proportion to a load) in a regression whose coefficients
//     are known only as far as a normal prior says, under noise that is
//     correlated in time. It is generalised likelihood ratio testing (Willsky and
//     Jones 1976, IEEE Trans. Autom. Control 21, 108–112, from memory).
//
// Checked on the flow of the Nile (one break after 1898) against a general
// statistics package. Places are indices: a break at k is between k−1 and k.
// Levels carry the unit of the series, weights and statistics are pure numbers.
package changepoint
