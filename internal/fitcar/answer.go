package fitcar

import "traplight/internal/sim"

// What torque gains from boost that was not run, beyond the model, relative torque per
// relative change of absolute pressure, and from knock where the log does not have the
// ignition. Where boost rises, the pressure before the turbine rises by some 1.5 of it, for
// the turbine must give more work: with 4 bar there, 3 bar in the manifold and 30 bar of
// mean effective pressure (1.5·4 − 3 − 1)/30 = 0.07 of it is lost beyond proportion, and some
// 0.04 more by burnt gas that stays in the cylinder. Common practice, no source.
const (
	answerMean    = -0.1 // 1, with the ignition in the log
	answerSD      = 0.13 // 1, its spread
	answerBlind   = -0.1 // 1, mean without it: returns fall
	answerBlindSD = 0.25 // 1
)

// TorqueAnswer is by how much torque answers boost that was not run beyond the model of car c,
// relative torque per relative change of absolute pressure: mean and standard deviation, 1.
func TorqueAnswer(c *sim.Car) (mean, sd float64) {
	if c.Engine.Spark.Loss == 0 {
		return answerBlind, answerBlindSD
	}
	return answerMean, answerSD
}
