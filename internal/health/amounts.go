package health

import (
	"math"
	"strings"

	"traplight/internal/quantity"
)

// amounts refines the scores by what the sizes must be to one another. Signs
// alone do not tell a dead cylinder from a bank that runs lean; the amount of
// torque lost does. Each rule's physics stands beside it. Its numbers are natural
// logarithms of odds, set by hand.
func (j *judge) amounts(c *candidate, obs []*observation) float64 {
	z := sizesOf(obs)
	s := behindEngine(c, obs, z)
	if outOfReach(obs) {
		s += beyondReach(c, obs)
	}
	switch c.kind {
	case none:
		if j.speedBorneOut(obs) {
			s -= speedSure
		}
	case CylinderDown:
		s += j.cylinderAmounts(obs, z)
	case Ignition:
		s += ignitionAmounts(c, obs, z)
	case MixtureImbalance:
		s += imbalanceAmounts(c, obs, z)
	case MixtureLean:
		s += torqueByFuel(z)
		if z.lambdaApartMoved && z.lambdaMoved && math.Abs(z.lambdaApart) > 0.7*math.Abs(z.lambda) {
			s -= 4 // it is one bank
		}
	case FuelSupply:
		s += fuelAmounts(c, z)
	case Underboost:
		if j.hollow {
			s -= 5
		}
	case Overboost:
		s += j.overboostAmounts(c, obs, z)
	case Knock:
		s += knockAmounts(c, obs)
	case CoolantPressure:
		if j.zeroElsewhere(c) {
			s -= 5
		}
	case Overheat:
		s += heatBehind(c, obs)
		if j.gas {
			s -= 6
		}
	case TurboOverspeed, BoostLeak:
		s += j.turboAmounts(c, obs)
	case Throttle:
		// Behind a throttle that reads shut the air that makes an engine idle fast comes
		// by another way.
		if strings.HasPrefix(c.main.id, "idle speed") && c.main.on != nil && c.main.on.readsShut() {
			s -= 2
		}
	case Driveline:
		// What is lost behind the engine leaves mixture and exhaust alone.
		if z.lambdaMoved || z.lambdaApartMoved || z.exhaustApartMoved {
			s -= 2
		}
	case TurbineChoke:
		// Boost as asked for, exhaust pressure up: the turbine, not a leak.
		if x, ok := size(obs, "turbo speed"); ok && x > 0.02 {
			s -= 3
		}
		if standsFor(c) {
			s += exhaustInTheWay(obs, z.loss)
		}
	}
	return s
}

// What a share of the engine's mixture that does not burn adds to lambda, 1 for the whole of
// its torque, and the spread of its logarithm: its oxygen alone would make the reading 0.8 to 1 times the
// share, what of its fuel the sensor burns takes off up to four fifths of that (from the
// balance of oxygen; what the sensor burns is set by hand).
const oxygenOfUnburnt, oxygenSpread = 0.45, 0.45

// behindEngine weighs torque lost in the engine against torque lost behind it: a cylinder
// that does not fire, or an ignition that fails, sends its oxygen past the lambda sensor;
// what is lost behind the engine does not.
func behindEngine(c *candidate, obs []*observation, z sizes) float64 {
	s := 0.0
	if _, told := breathesLess(obs, z.loss); z.torqueMoved && told && (c.kind == CylinderDown || c.kind == Driveline) {
		s -= max(0, exhaustInTheWay(obs, z.loss))
	}
	if z.torqueMoved && z.loss > 0 && !z.lambdaMoved && !z.lambdaApartMoved && quiet(obs, "lambda") {
		switch lacks := noOxygen(obs, z.loss); c.kind {
		case CylinderDown:
			s -= lacks
		case Ignition:
			s -= 2 * lacks / 3
		case Driveline:
			s += lacks / 3
		}
	}
	return s
}

// noOxygen is how much rather, natural logarithm of odds up to 6, a loss of torque comes with
// none of the oxygen of unburnt mixture than with it, by what lambda did at that very time.
func noOxygen(obs []*observation, loss float64) float64 {
	var torque, lambda *observation
	for _, o := range obs {
		switch o.id {
		case "torque over air":
			torque = o
		case "lambda":
			lambda = o
		}
	}
	if torque == nil || lambda == nil || torque.rows == nil || lambda.rows == nil || lambda.model == nil || lambda.blind {
		return 0
	}
	h, ok := lambda.sizeAt(torque)
	if !ok {
		return 0
	}
	want, sd := oxygenOfUnburnt*loss, math.Hypot(h.SD*math.Sqrt(lambda.model.excess), lambda.small/4)
	return max(0, min(6, normal(h.Size, 0, sd)-normal(h.Size, want, math.Hypot(sd, oxygenSpread*want))))
}

// cylinderAmounts: one of n cylinders gives 1/n of the torque; friction of the dead one adds
// some.
func (j *judge) cylinderAmounts(obs []*observation, z sizes) float64 {
	n := float64(j.sheet.Cylinders)
	if n == 0 {
		n = 6
	}
	s := 0.0
	if z.torqueMoved {
		q := z.loss * n
		switch {
		case q > 0.4 && q < 1.7:
			s += 2
		case q > 2.2 || q < 0.2:
			s -= 3
		}
		s += steady(obs)
	}
	if z.exhaustApartMoved && math.Abs(z.exhaustApart) > 100 {
		s += 3
	}
	if dead, told := unburnt(obs); dead {
		s += 3
	} else if !z.torqueMoved || told {
		s -= 6
	}
	return s
}

// ignitionAmounts: sparks that fail leave the angle that is asked for alone and send their
// oxygen past the lambda sensor.
func ignitionAmounts(c *candidate, obs []*observation, z sizes) float64 {
	s := 0.0
	if c.main.id == "ignition" && !z.lambdaMoved {
		s -= 2
	}
	if z.torqueMoved {
		s -= steady(obs)
		if z.lambdaApartMoved || z.exhaustApartMoved {
			s -= 2 // what comes and goes in all cylinders moves no bank against the other
		}
	}
	return s
}

// torqueByFuel: a few per cent less fuel on the rich side costs hardly any torque (Heywood
// 1988, section 9.4, from memory: within 3 % from lambda 0.8 to 0.95).
func torqueByFuel(z sizes) float64 {
	if z.torqueMoved && z.loss > 0.06 {
		return -5
	}
	return 0
}

func imbalanceAmounts(c *candidate, obs []*observation, z sizes) float64 {
	s := otherStill(c, obs)
	if dead, _ := unburnt(obs); dead {
		s -= 6
	}
	s += torqueByFuel(z)
	if z.exhaustApartMoved && math.Abs(z.exhaustApart) > 130 {
		s -= 4
	}
	// On the rich side less fuel burns hotter.
	if z.lambdaApartMoved && z.exhaustApartMoved && z.lambdaApart*z.exhaustApart > 0 {
		s++
	}
	return s
}

// fuelAmounts: a pump or filter at its end shows where the flow is greatest.
func fuelAmounts(c *candidate, z sizes) float64 {
	if o := c.main; o.id == "fuel over manifold" && (o.hit.Shape.ByLoad || o.hit.Shape.Last > 1) {
		return 1.5
	} else if standsFor(c) {
		return withFlow(o, atItsEnd, inProportion) - fuelUnseen + torqueByFuel(z)
	}
	return 0
}

// overLimit is how far boost went over the sheet's limit, Pa; 0 where it did not, or none is stated.
func (j *judge) overLimit() float64 {
	most := j.sheet.Limits.MaxBoost
	if !(most > 0) {
		return 0
	}
	if q := j.went(0.9, of(j.boost), func(i int) bool { return j.boost[i] > most }); q > most {
		return q - most
	}
	return 0
}

func (j *judge) overboostAmounts(c *candidate, obs []*observation, z sizes) float64 {
	s := 0.0
	if j.hollow {
		s -= 5
	}
	over, _ := size(obs, "boost over target")
	course, _ := size(obs, "boost course")
	boost := max(over, course, j.overLimit())
	// A regulator feels the manifold: where fuel pressure over it falls by just what boost
	// rises, with the mixture in its place, nothing rose but the reading.
	if fall, ok := size(obs, "fuel over manifold"); ok && !z.lambdaMoved && quiet(obs, "lambda") && math.Abs(-fall/boost-1) < 0.25 {
		s -= 5
	}
	// Only boost far over its target upsets everything else.
	if boost < 25e3 {
		for _, o := range c.covered {
			if !strings.HasPrefix(o.id, "boost") && o.id != "wastegate" {
				e, _ := o.moved()
				s -= 0.8 * e
			}
		}
	}
	return s
}

func knockAmounts(c *candidate, obs []*observation) float64 {
	s := 0.0
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
	return s
}

// zeroElsewhere says that the coolant's pressure stands off by as much before the launch as in
// the pass, and goes with no boost: gas from a cylinder comes with the boost; a gauge whose zero
// is elsewhere, or a circuit that was filled or sealed otherwise, does not wait for it.
func (j *judge) zeroElsewhere(c *candidate) bool {
	if c.main.id != "coolant pressure" || c.main.rows == nil || !c.main.fromFirst() || c.main.hit.Shape.ByLoad || c.main.rows.T[0] > j.launch-1 || j.gas {
		return false
	}
	slope, sd, ok := j.perBoost(j.first(quantity.CoolantPressure))
	return ok && slope+2*sd < perBoostMost
}

// stewedMost is what a leak or a blocked inlet loses, natural logarithm of odds, where nearly
// all of the compressor's heat stays in the charge (set by hand).
const stewedMost = 5.0

func (j *judge) turboAmounts(c *candidate, obs []*observation) float64 {
	s := effortStill(c, obs)
	if c.kind == TurboOverspeed {
		s += effort(obs)
	} else {
		s -= effort(obs)
	}
	if standsFor(c) {
		if j.stewed { // of what a compressor heats the more a cooler takes its share
			s -= stewedMost
		}
		s += workedHarder(obs, j.compressorHeat())
		for _, o := range obs {
			if o.id == "torque over air" && c.kind == TurboOverspeed && o.hit.Size < 0 && o.evidence > 1.5 {
				s += max(-2, min(2, withFlow(o, byFlowSquare, byHole)))
			}
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
