// Package plan chooses the settings of the next pass: boost by gear, shift speeds,
// launch engine speed, nitrous and its windows, for the highest expected trap speed, or the best chance of
// the target in the passes left, within the limits.
//
// Every set of settings is judged by passes under the same luck (package forecast's
// draws over the fit's ensemble), so that two sets differ by their settings alone; what
// was chosen is judged again under luck that the search has not seen (confirm), and
// those chances are stated. Limits are of two classes. Soft ones (slip past the peak,
// torque cut, boost target not reached) may be passed with the chance that the crew
// accepts, gear by gear. Hard ones (boost, gearbox torque, injectors, back pressure,
// turbo speed, power, exhaust temperature, tyre speed, shut-down) together with at most
// 1 in 100: single chances, each from a normal tail over the draws with what is not
// known of the reading, are added up (sum).
//
// A reading (duty, turbo speed, exhaust …) is extrapolated from what the logs show, by
// a law of its own with a doubt of its own: see meter, backOf, and docs/plan.md. What a
// stated limit reads where no channel shows it is not known: the engine then stays near
// the pressure that it was run at. Wheelspin of launch and shifts is counted in the logs
// (spinSeen), slip in the pull taken from them and moved by what the model's changes (gripSeen),
// both against the tyres of each member of the ensemble.
//
// Search: trap speed rises with each gear's boost until a limit, so each boost is
// brought by bisection to the highest value that gains speed and holds the
// limits, gears in turn, then each shift speed by golden section (climb); then all of them
// together, by the slopes of speed and of every hard limit (polish), until a round
// brings less than 0.01 m/s. Deterministic for one seed.
//
// Beside the settings by gear boost by engine speed within the gears is offered (within): by the
// same steps and under the same limits it falls towards the end of a gear, where flow holds it.
//
// What was not run before is marked. Unless asked to be bold, one step a pass: at
// most 5 % of torque over what was run in each gear, and 3 mph over the best pass.
//
// Limits of the method: knock, mixture and oil are not extrapolated; a finding of the
// health screen that speaks against boost holds it. Launch engine speed is moved only where
// that brings more than is not known of it (pull).
package plan
