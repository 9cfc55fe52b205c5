// Package plan chooses the settings of the next pass: boost by gear, shift speeds
// and nitrous, for the highest expected trap speed within the limits.
//
// Every set of settings is judged by passes under the same luck (package forecast's
// draws over the fit's ensemble), so that two sets differ by their settings alone.
// Limits are of two classes. Soft ones (slip past the peak, boost target not
// reached) may be passed with the chance that the crew accepts, gear by gear. Hard
// ones (boost, gearbox torque, injectors, turbine, turbo, power, exhaust,
// tyre speed, shut-down length) together with at most 1 in 100: the chances of the
// single limits, each from a normal tail over the draws, are added up (Bonferroni).
//
// Search: trap speed rises with each gear's boost until a limit, so each boost is
// brought by bisection to the highest value that gains speed and holds the
// limits, gears in turn, then each shift speed by golden section, until a round
// brings less than 0.02 m/s. Deterministic for one seed.
//
// What was not run before is marked. Unless asked to be bold, one step a pass: at
// most 5 % of torque over what was run in each gear, and 3 mph over the best pass.
//
// Limits of the method: limits that no channel shows (knock, oil, hoses) are not
// judged here; the plan says so.
package plan
