package health

import (
	"math"
	"strings"

	"traplight/internal/quantity"
)

// amounts refines the scores by what the sizes must be to one another. Signs
// alone do not tell a dead cylinder from a bank that runs lean; the amount of
// torque lost does. Each rule's physics stands beside it.
func (j *judge) amounts(c *candidate, obs []*observation) float64 {
	torque, okT := size(obs, "torque over air")
	lambda, okL := size(obs, "lambda")
	apartL, okA := largest(obs, "lambda apart")
	apartE, okE := largest(obs, "exhaust apart")
	n := float64(j.sheet.Cylinders)
	if n == 0 {
		n = 6
	}
	loss := -math.Expm1(torque) // share of torque lost
	s := 0.0
	// A cylinder that does not fire, or an ignition that fails, sends its oxygen past
	// the lambda sensor; what is lost behind the engine does not.
	if _, told := breathesLess(obs, loss); okT && told && (c.kind == CylinderDown || c.kind == Driveline) {
		s -= max(0, exhaustInTheWay(obs, loss))
	}
	still := okT && loss > 0.05 && !okL && !okA && quiet(obs, "lambda")
	if still {
		switch c.kind {
		case CylinderDown:
			s -= 6
		case Ignition:
			s -= 4
		case Driveline:
			s += 2
		}
	}
	if outOfReach(obs) {
		s += beyondReach(c, obs)
	}
	switch c.kind {
	case none:
		if j.speedBorneOut(obs) {
			s -= speedSure
		}
	case CylinderDown:
		// One cylinder gives 1/n of the torque; friction of the dead one adds some.
		if okT {
			q := loss * n
			switch {
			case q > 0.4 && q < 1.7:
				s += 2
			case q > 2.2 || q < 0.2:
				s -= 3
			}
			s += steady(obs)
		}
		if okE && math.Abs(apartE) > 100 {
			s += 3
		}
		if dead, told := unburnt(obs); dead {
			s += 3
		} else if !okT || told {
			s -= 6
		}
	case Ignition:
		// Sparks that fail leave the angle that is asked for alone and send their
		// oxygen past the lambda sensor.
		if c.main.id == "ignition" && !okL {
			s -= 2
		}
		if okT {
			s -= steady(obs)
			if okA || okE {
				s -= 2 // what comes and goes in all cylinders moves no bank against the other
			}
		}
	case MixtureImbalance, MixtureLean:
		if c.kind == MixtureImbalance {
			s += otherStill(c, obs)
			if dead, _ := unburnt(obs); dead {
				s -= 6
			}
		}
		// A few per cent less fuel on the rich side costs hardly any torque
		// (Heywood 1988, section 9.4, from memory: within 3 % from lambda 0.8 to 0.95).
		if okT && loss > 0.06 {
			s -= 5
		}
		if c.kind == MixtureImbalance && okE && math.Abs(apartE) > 130 {
			s -= 4
		}
		// On the rich side less fuel burns hotter.
		if c.kind == MixtureImbalance && okA && okE && apartL*apartE > 0 {
			s++
		}
		if c.kind == MixtureLean && okA && okL && math.Abs(apartL) > 0.7*math.Abs(lambda) {
			s -= 4 // it is one bank
		}
	case FuelSupply:
		// A pump or filter at its end shows where the flow is greatest.
		if o := c.main; o.id == "fuel over manifold" && (o.hit.Shape.ByLoad || o.hit.Shape.Last > 1) {
			s += 1.5
		} else if standsFor(c) {
			s += withFlow(o, atItsEnd, inProportion) - fuelUnseen
			if okT && loss > 0.06 {
				s -= 5
			}
		}
	case Underboost:
		if j.hollow {
			s -= 5
		}
	case Overboost:
		if j.hollow {
			s -= 5
		}
		// Only boost far over its target upsets everything else.
		a, _ := size(obs, "boost over target")
		b, _ := size(obs, "boost course")
		// A regulator feels the manifold: where fuel pressure over it falls by just what boost
		// rises, with the mixture in its place, nothing rose but the reading.
		if fall, ok := size(obs, "fuel over manifold"); ok && !okL && quiet(obs, "lambda") && math.Abs(-fall/max(a, b)-1) < 0.25 {
			s -= 5
		}
		if max(a, b) < 25e3 {
			for _, o := range c.covered {
				if !strings.HasPrefix(o.id, "boost") && o.id != "wastegate" {
					e, _ := o.moved()
					s -= 0.8 * e
				}
			}
		}
	case Knock:
		if earlier(obs, "charge heat", c.main) || earlier(obs, "lambda", c.main) {
			s -= 4 // it has a cause
		}
		// A computer that takes ignition away because it hears knock, where the log
		// has no ear of its own; with one that is quiet it is something else.
		if c.main.id == "ignition" {
			for _, o := range obs {
				if (role{watch: "knock level"}).covers(o.id) {
					s -= 4
					break
				}
			}
		}
	case Overheat:
		s += heatBehind(c, obs)
		if j.gas {
			s -= 6
		}
	case TurboOverspeed, BoostLeak:
		s += effortStill(c, obs)
		if c.kind == TurboOverspeed {
			s += effort(obs)
		} else {
			s -= effort(obs)
		}
		if standsFor(c) {
			s += workedHarder(obs, j.compressorHeat())
			for _, o := range obs {
				if o.id == "torque over air" && c.kind == TurboOverspeed && o.hit.Size < 0 && o.evidence > 1.5 {
					s += max(-2, min(2, withFlow(o, byFlowSquare, byHole)))
				}
			}
		}
	case Throttle:
		// Behind a throttle that reads shut the air that makes an engine idle fast comes
		// by another way.
		if strings.HasPrefix(c.main.id, "idle speed") && c.main.on != nil && c.main.on.readsShut() {
			s -= 2
		}
	case Driveline:
		// What is lost behind the engine leaves mixture and exhaust alone.
		if okL || okA || okE {
			s -= 2
		}
	case TurbineChoke:
		// Boost as asked for, exhaust pressure up: the turbine, not a leak.
		if x, ok := size(obs, "turbo speed"); ok && x > 0.02 {
			s -= 3
		}
		if standsFor(c) {
			s += exhaustInTheWay(obs, loss)
		}
	}
	return s
}

// speedSure is what the explanation loses that the car's speed itself came out wrong, natural
// logarithm of odds, where sensors that know nothing of one another agree on it (set by hand).
const speedSure = 8.0

// speedBorneOut says that two sources at least that no tyre's slip touches agree on the
// car's speed: undriven wheels, and a satellite receiver.
func (j *judge) speedBorneOut(obs []*observation) bool {
	n := 0
	if j.set != nil && j.set.First(quantity.GPSSpeed) != nil {
		n++
	}
	for _, o := range obs {
		if (role{watch: "wheel "}).covers(o.id) && o.rows != nil && !o.blind {
			if o.evidence > 1 {
				return false
			}
			n++
		}
	}
	return n > 1
}

// fuelUnseen is what a want of fuel loses, natural logarithm of odds, where nothing shows
// its pressure and the mixture does not tell: it is as common as the other causes of a
// lean mixture together.
const fuelUnseen = 0.35

// quiet says that a watch looked and saw nothing to speak of.
func quiet(obs []*observation, id string) bool {
	for _, o := range obs {
		if o.id == id && o.rows != nil {
			e, _ := o.moved()
			return e < 1
		}
	}
	return false
}

// size is a watch's departure; ok is false when it did not move.
func size(obs []*observation, id string) (float64, bool) {
	for _, o := range obs {
		if o.id == id && o.evidence > 1.5 {
			return o.hit.Size, true
		}
	}
	return 0, false
}

func largest(obs []*observation, id string) (v float64, ok bool) {
	for _, o := range obs {
		if (role{watch: id}).covers(o.id) && o.evidence > 1.5 && math.Abs(o.hit.Size) > math.Abs(v) {
			v, ok = o.hit.Size, true
		}
	}
	return v, ok
}
