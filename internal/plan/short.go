package plan

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

const (
	reachedShare = 0.95 // 1, of its target that boost must come to
	// Doubt of the time that boost takes, 1: as it was run, and of the change of ln absolute
	// pressure beyond it. Common practice, no source.
	riseRepeats = 0.05
	riseDoubt   = 0.35
	// The same, once, where the gear has only shown what the gate's spring holds: how its control
	// comes to a target is then not known at all; and the pressure beyond, 1 of its logarithm, from
	// which it is all of that.
	riseUnseen  = 0.5
	riseFar     = 0.15
	springNear  = 8e3 // Pa over the spring that may still be the spring's
	springShare = 0.9 // 1, of the model's goal
	readZero    = 3e3 // Pa, by which a sensor may read too low
)

// short is the chance, 0–1, that boost does not come to its target in the gear: a count of
// draws would take the model's rise for the car's.
func (s *search) short(x settings, g *sim.Gear) float64 {
	i := g.Gear - 1
	baro := s.base.Air.Pressure
	beyond := max(0, math.Log((x.boost[i]+baro)/(s.ran.boost[i]+baro)))
	sd := math.Hypot(riseRepeats, riseDoubt*beyond)
	if s.springOnly(i) {
		sd = math.Hypot(sd, riseUnseen*min(1, beyond/riseFar))
	}
	if set := reachedShare * x.boost[i]; set < springShare*g.Goal {
		// the gate's spring holds more than what is set, and that is what the model goes to
		return tail(math.Log(max(0.01, g.MaxBoost)/max(1, set)) / sd)
	}
	return max(tail((reserve(g)+s.missed.rise[i])/sd), s.below(x, i))
}

// below is the chance, 0–1, that boost stays under its target by as much as the log's peaks of
// gear i (from 0) tell: a control that had not settled on what was set when the gear ended does
// not settle on more either.
func (s *search) below(x settings, i int) float64 {
	level := s.missed.level[i]
	if math.IsInf(level, 0) || s.ran.boost[i] <= 0 || x.boost[i] <= 0 {
		return 0
	}
	unsettled := max(0, min(1, (levelSettled-level)/levelSettled))
	return tail((level - min(levelMost, unsettled*max(0, math.Log(x.boost[i]/s.ran.boost[i])))) / levelRepeats)
}

const (
	levelSettled = 0.05 // 1, ln of boost that has settled on its target over 95 % of that
	levelMost    = 0.03 // 1, by which a rise of the target lessens it at most: beyond, the time that boost takes decides
	levelRepeats = 0.02 // 1, of a gear's peak from pass to pass, sensor included; common practice, no source
)

// springOnly tells whether gear i (from 0) was never set to more than the gate's spring holds,
// as far as that is known.
func (s *search) springOnly(i int) bool {
	spring := s.m.Mean.Car.Boost.Floor
	if spring <= 0 {
		spring = fitcar.SpringMean
	}
	return s.ran.boost[i] < spring+springNear
}

// reserve is the logarithm of the time in the gear over that which boost takes to its
// target; where it does not come so far, that of the boost reached over what was to be.
// Infinite where it is there on entering the gear.
func reserve(g *sim.Gear) float64 {
	if g.Reached {
		return math.Log((g.T1 - g.T0) / max(0, g.RecoveryTime))
	}
	if g.Goal <= 0 {
		return math.Inf(1)
	}
	return math.Log(max(0.01, g.MaxBoost/g.Goal))
}

// late is what must be added to the model's reserve for what the log shows of a gear, its
// peak read, Pa gauge: where only one of both came to the target.
func late(g *sim.Gear, read float64) float64 {
	if g.Goal <= 0 || read <= 0 {
		return 0
	}
	model, log := reserve(g), math.Log((read+readZero)/g.Goal)
	switch {
	case g.Reached && log >= 0:
		return 0
	case g.Reached:
		return log - min(model, 0.5)
	case log >= 0: // it came there with time to spare, if little is known of how much
		return log + riseRepeats - model
	}
	return log - model
}
