package forecast

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// What torque loses, beyond the model, in air that was not run.
const (
	// what torque loses with the air's heat where the log does not have the ignition, beyond the
	// thinner charge and the loss in the model: computers draw the ignition back by some 1° for
	// 10 K, worth 0.5 to 1 % of torque when it is late already. Common practice, no source
	heatBlind, heatBlindSD = -0.0003, 0.0008 // 1/K
	// what knock control takes when the air is warmer than in any pass of the record: a
	// computer's map is set near knock in the warmth in which the car has run, with some
	// kelvin in hand; beyond it knock asks for 1 to 2° less for 10 K more, each worth 1 % of
	// torque or, where the ignition that the log shows is later, what the model has for it.
	// Common practice, no source
	knockSpare          = 4.0        // K
	knockLater, knockSD = 0.15, 0.10 // °/K
	degreeWorth         = 0.01       // 1/°, at least
)

// setting is boost in its air: manifold pressure and barometer, Pa absolute.
type setting struct{ manifold, barometer float64 }

// answered is the factor of torque, 1, for boost as it was run and as it will be, at boost and
// air standard deviations of what is not known of the answer to each. Where the barometer alone
// changes, back pressure and burnt gas take their share as before if all pressures fall
// together: so the lesser of the changes of pressure and of pressure ratio counts, and neither
// where they go apart; that it is so is in doubt by as much as the barometer changed.
func answered(c *sim.Car, boost, air float64, was, will setting) float64 {
	mean, sd := fitcar.TorqueAnswer(c)
	pressure := will.manifold/was.manifold - 1
	thinner := 0.0
	if was.barometer > 0 && will.barometer > 0 {
		thinner = was.barometer/will.barometer - 1
	}
	less, ratio := pressure, (1+pressure)*(1+thinner)-1
	switch {
	case pressure*ratio < 0:
		less = 0
	case math.Abs(ratio) < math.Abs(pressure):
		less = ratio
	}
	return max(0.5, 1+(mean+sd*boost)*less+sd*air*thinner)
}

// heated is the factor of torque, 1, for air that is warmer, K, than it was when the torque of
// car c was seen, at z standard deviations of what is not known of the ignition. Where the log
// has the ignition the model knows.
func heated(c *sim.Car, warmer, z float64) float64 {
	if c.Engine.Spark.Loss != 0 {
		return 1
	}
	return max(0.5, 1+(heatBlind+heatBlindSD*z)*warmer)
}

// knocked is the factor of torque, 1, that knock control leaves to car c at boost will, in air
// that is warmer, K, than in any pass of the record, at z standard deviations of what is not
// known of it.
func knocked(c *sim.Car, will setting, ambient, warmer, z float64) float64 {
	over := warmer - knockSpare
	if over <= 0 {
		return 1
	}
	return max(0.5, 1-max(0, knockLater-knockSD*z)*over*worth(c, will, ambient))
}

// worth is the share of torque, 1/°, that a degree less of ignition costs car c at boost will in
// air of temperature ambient, K: the slope of the ignition's efficiency, in the middle of a gear.
func worth(c *sim.Car, will setting, ambient float64) float64 {
	s := &c.Engine.Spark
	if s.Loss == 0 || will.barometer <= 0 {
		return degreeWorth
	}
	temp := c.Engine.LateCharge(ambient, sim.Head(will.barometer, will.manifold))
	angle := s.Set(0.85*max(c.RevLimit, 0.5*sim.RefSpeed), will.manifold, temp)
	return max(degreeWorth, 2*s.Loss*(s.Best-angle)/s.Efficiency(angle)*math.Pi/180)
}
