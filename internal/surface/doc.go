// Package surface answers at once, while a setting is dragged, what a forecast would
// say after hundreds of passes.
//
// A set of passes under the same luck (common random numbers: package forecast's
// draws) is run at the settings as they stand, along each setting by itself, and at the
// corners of the pairs that touch each other. Of every draw the square of its trap
// speed (the work done, which adds up over the gears better than speed does), its time,
// top speed and way to a stop are then interpolated:
//
//	f(x) = f(x₀) + Σ fᵢ(xᵢ) + Σ fᵢⱼ(xᵢ, xⱼ)
//
// the expansion by cuts through one point (Rabitz, Aliş, "General foundations of
// high-dimensional model representations", J. Math. Chem. 25 (1999), from memory), cut
// after the second order; fᵢ by cubics through four neighbouring nodes, fᵢⱼ bilinear
// from x₀ to each corner. Quantiles are those of the interpolated draws, set right by
// what the full forecast's differ from them at x₀.
//
// Limits: it holds for the air, wind and strip it was made for, and within its
// bounds. How near it is to the full forecast is tested: 0.1 mph of the trap's median.
package surface
