// Package turbomap reads digitised maps of compressors and swallowing lines of turbines,
// and answers where an operating point lies on them.
//
// A compressor map is a list of points (corrected speed, corrected flow, pressure ratio,
// efficiency) in lines of constant speed. Along a line every quantity is a function of
// the share of the way from its least flow (taken as surge) to its greatest (taken as
// choke); between lines, at one share, a function of speed. Both are monotone piecewise
// cubics (F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304). Below
// the lowest line the similarity laws of turbomachines serve: flow goes with speed, head with
// its square, at the same efficiency (H. Saravanamuttoo, G. Rogers, H. Cohen, Gas Turbine
// Theory, chapter 4, from memory). Above the highest line nothing is claimed.
//
// How wrong it can be: on a map of a published compressor model, digitised at six lines of
// eight points, flow is met within 1 % and efficiency within 0.01 between the lines (a
// test holds that). Reading a printed map adds about 1 % of flow and 0.01 of efficiency
// (common practice, no source). Where a printed line does not reach surge or choke, the
// margins told here are too small, never too large.
//
// See docs/sizing.md for the file's form.
package turbomap
