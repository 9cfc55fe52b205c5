package gastest

import "math"

// How the work of a cycle follows mixture and ignition.
//
// Sources: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), figures 3-9
// (combustion efficiency against mixture), 15-3 and 15-4 (torque against mixture and
// spark), read from memory and smoothed here; the figures' points are in the tests.
// Valid for spark-ignition engines at full load, lambda 0.65 to 1.2, up to 25° from
// the best spark. Fuels differ by about a third of these effects.

const (
	bestLambda = 0.83 // 1, of highest work per mass of air
	richLoss   = 1.9  // 1, of work per squared distance in lambda, on the rich side
	leanLoss   = 1.5  // 1, on the lean side
	sparkLoss  = 1.0  // 1/rad², of work per squared angle from the best spark
	sparkHeat  = 230  // K/rad, by which exhaust is hotter for spark after the best
)

// workByMixture returns the work of a cycle per mass of air at lambda, 1, relative to that of
// the best mixture, 1.
func workByMixture(lambda float64) float64 {
	d := lambda - bestLambda
	k := richLoss
	if d > 0 {
		k = leanLoss
	}
	return math.Max(0.3, 1-k*d*d)
}

// released returns the share, 1, of the fuel's heat that is set free at lambda, 1: all of
// it where there is oxygen enough, else as far as the oxygen goes, the rest leaving as
// carbon monoxide and hydrogen.
func released(lambda float64) float64 { return 0.975 * math.Min(1, lambda) }

// workBySpark returns the work of a cycle relative to that at the best spark, 1, for an
// ignition that is late by that angle, rad; negative early.
func workBySpark(late float64) float64 { return math.Max(0.3, 1-sparkLoss*late*late) }

// heatBySpark returns by how much the exhaust is hotter, K, for an ignition that is late by
// that angle, rad.
func heatBySpark(late float64) float64 { return sparkHeat * late }
