// Package compressor holds the laws of the turbocharger and of the air that an engine
// swallows: temperature rise and efficiency of a compressor, corrected flow with its reference
// states, the cooler's effectiveness, speed–density air flow and brake mean effective
// pressure.
//
// Everything is in SI: pressures Pa absolute and, unless a comment says otherwise,
// stagnation values. Gases are perfect with constant specific heats; over the range
// of a turbocharger's compressor (290 to 550 K) cp of air rises by 3 %, which
// efficiencies found with a constant cp absorb.
package compressor
