// Package surface answers at once, while a setting is dragged, what a forecast would
// say after thousands of passes.
//
// A look runs some draws of the forecast's luck, at every setting the same (common random
// numbers), and takes the quantiles of those. Two things bring them to the full forecast's:
//
//   - The draws are chosen. At a few settings all of them are run; ordered by the two main
//     components of what they did there, every so-manieth is kept, so that those kept are
//     spread as all are, wheelspin included (systematic sampling: Cochran, "Sampling
//     Techniques", 1977, chapter 8, from memory).
//   - What the chosen ones still miss of each quantile is known wherever all were run, and
//     followed in between by a Gaussian process (Rasmussen, Williams, "Gaussian Processes
//     for Machine Learning", 2006, eq. 2.25). A full forecast that someone asked for is one
//     more such place (Learn).
//
// Until the draws are chosen (Settle, some seconds) the first ones serve, with what is
// missed known where the last full forecast was made: a surface answers from the beginning.
//
// An expansion by cuts through one point, of second order, was tried before. It is a hundred
// times faster and as near where no tyre spins; where boost takes the tyres over their peak,
// each draw answers by jumps, and it missed medians by up to 0.25 mph (a five-speed fitted to
// three passes), where this one misses 0.04 mph (root mean square over the reach).
//
// Limits: it holds for the air, wind and strip it was made for, and within its bounds.
package surface
