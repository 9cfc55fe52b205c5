package health

import "math"

// Kinds that move the same watches the same way are told apart by how much they move
// them. Figures are natural logarithms of odds.

// How much the logarithm of the turbine's pressure rises for that of the rotor's speed,
// 1. A blocked inlet asks more work of the same air: work goes as the speed squared, and
// what a turbine gives goes as its pressure to the 1.8 (flow in proportion to the
// pressure, and four fifths from its expansion): 2/1.8. A hole behind the compressor asks
// for more air besides, and a compressor gives three times as much more air as it turns
// faster at one pressure: (2 + 3)/1.8.
const (
	effortBlocked, effortBlockedSpread = 1.1, 0.5
	effortHole, effortHoleSpread       = 2.8, 0.9
	effortMost                         = 3.0
	// depressionLeast is the least that an inlet must take from the pressure before the
	// compressor to turn it faster by a given share, Pa: the pressure ratio goes as the
	// speed squared and is 2 at least, of which half serves.
	depressionLeast = 100e3
)

// effort is how much rather a rotor that turns faster draws through a blocked inlet than
// it feeds a hole, by what the exhaust's pressure does; within ±effortMost.
func effort(obs []*observation) float64 {
	var rotor *observation
	for _, o := range obs {
		if (role{watch: "turbo speed"}).covers(o.id) && !o.blind && o.rows != nil && o.evidence > 2 && o.hit.Size > 0 {
			rotor = o
		}
	}
	if rotor == nil {
		return 0
	}
	s, n := 0.0, 0.0
	for _, o := range obs {
		if o.id != "inlet depression" || o.blind || o.rows == nil || o.model == nil {
			continue
		}
		if h, ok := o.sizeAt(rotor); ok {
			want, sd := depressionLeast*rotor.hit.Size, h.SD*math.Sqrt(o.model.excess)
			if want > 4*sd && h.Size < want/3 {
				return -effortMost
			}
			if h.Size > want && h.Size > 4*sd {
				return effortMost
			}
		}
	}
	for _, o := range obs {
		if !(role{watch: "back-pressure"}).covers(o.id) || o.blind || o.rows == nil || o.model == nil {
			continue
		}
		h, ok := o.sizeAt(rotor)
		if !ok {
			continue
		}
		// Nothing is known better than to half of what is just worth telling.
		r, sd := h.Size/rotor.hit.Size, math.Hypot(h.SD*math.Sqrt(o.model.excess), o.small/4)/rotor.hit.Size
		one := func(mean, spread float64) float64 {
			v := sq(spread) + sq(sd)
			return -sq(r-mean)/(2*v) - math.Log(v)/2
		}
		s, n = s+one(effortBlocked, effortBlockedSpread)-one(effortHole, effortHoleSpread), n+1
	}
	if n == 0 {
		return 0
	}
	return max(-effortMost, min(effortMost, s/n))
}

// What a kelvin of the coolant adds to its pressure, Pa: vapour and the air that it
// squeezes (steam tables: 2 to 3.5 kPa for the vapour from 80 to 100 °C), and the spread
// of its logarithm.
const swellPerKelvin, swellSpread = 6e3, 0.6

// heatBehind is how much rather a coolant whose pressure rises for the work is hotter
// than that it is fed with gas, by its thermometer: within ±5; 0 without one.
func heatBehind(c *candidate, obs []*observation) float64 {
	if c.main.id != "coolant swell" || c.main.rows == nil {
		return 0
	}
	for _, o := range obs {
		if o.id != "coolant heat" || o.blind || o.rows == nil || o.model == nil || o.model.passes == 0 {
			continue
		}
		h, ok := o.sizeAt(c.main)
		if !ok {
			return 0
		}
		// The thermometer follows late; what came about at the end it has not seen.
		rows := c.main.rows
		seen := 1 - math.Exp(-max(0, rows.T[rows.len()-1]-c.main.start)/4)
		want := c.main.hit.Size / swellPerKelvin * seen
		v := sq(h.SD)*o.model.excess + sq(o.small/4)
		both := v + sq(swellSpread*want)
		return max(-5, min(5, sq(h.Size)/(2*v)-sq(h.Size-want)/(2*both)+math.Log(v/both)/2))
	}
	return 0
}

// breathesLess says that the engine takes less air than its manifold's pressure would
// give it, by more than two fifths of the torque that it lost: there is less fuel for
// the air. told is false where no fuel is logged.
func breathesLess(obs []*observation, loss float64) (less, told bool) {
	least := 0.0
	for _, o := range obs {
		if o.id != "injectors over air" && o.id != "fuel flow over air" || o.blind || o.rows == nil || o.model == nil || o.model.passes == 0 {
			continue
		}
		told = true
		if e, way := o.moved(); e > 1 && way < 0 {
			least = min(least, o.hit.Size)
		}
	}
	return -least > 0.4*loss, told
}

// exhaustInTheWay is how much rather torque is lost to an exhaust that does not get away
// than behind the engine or to a cylinder, where nothing shows the pressure before the
// turbine: the engine breathes less, and its mixture stays. Without a reading of the
// fuel, the loss that grows with the flow speaks, a little.
func exhaustInTheWay(obs []*observation, loss float64) float64 {
	if _, lean := size(obs, "lambda"); lean {
		return -4
	}
	if _, short := size(obs, "boost short of target"); short {
		return -3
	}
	less, told := breathesLess(obs, loss)
	switch {
	case less:
		return 3
	case told:
		return -4
	}
	for _, o := range obs {
		if o.id == "torque over air" && o.rows != nil {
			return max(-2, min(2, withFlow(o, byFlowSquare, inProportion))) - 1
		}
	}
	return -4
}

// earlier says that a watch moved up, beyond what is small, well before what is to be
// its consequence.
func earlier(obs []*observation, id string, than *observation) bool {
	for _, o := range obs {
		if o.id == id && o.rows != nil && o.evidence > 4 && o.hit.Size > o.small && o.start < than.start-0.5 {
			return true
		}
	}
	return false
}

// outOfReach says that boost is so far under its target that the air path's relations
// hold where no earlier pass has been.
func outOfReach(obs []*observation) bool {
	for _, id := range []string{"boost short of target", "boost course"} {
		if v, ok := size(obs, id); ok && v < -60e3 {
			return true
		}
	}
	return false
}

// beyondReach takes the air path's relations back where they hold no longer, and what
// cannot cost so much boost.
func beyondReach(c *candidate, obs []*observation) float64 {
	s := 0.0
	for _, o := range obs {
		e, way := o.moved()
		back, rotor := (role{watch: "back-pressure"}).covers(o.id), (role{watch: "turbo speed"}).covers(o.id)
		switch {
		case c.kind == Underboost && back && way > 0:
			s += 0.7 * e
		case (c.kind == BoostLeak || c.kind == TurbineChoke) && back && way > 0:
			s -= e
		case c.kind == Underboost && rotor:
			s += 0.5 * e
		}
	}
	if c.kind == Ignition || c.kind == CylinderDown {
		s -= 8
	}
	return s
}

// unburnt says that a bank's or a cylinder's exhaust is colder than the others' while its
// oxygen says lean: fuel that is lacking on the rich side makes it hotter, a cylinder that
// does not fire colder. told is true where both are logged for it and say so or
// otherwise.
func unburnt(obs []*observation) (dead, told bool) {
	cold, hot := 0.0, 0.0
	for _, o := range obs {
		if (role{watch: "exhaust apart"}).covers(o.id) && o.evidence > 2 && o.rows != nil {
			cold, hot = min(cold, o.hit.Size), max(hot, o.hit.Size)
		}
	}
	if cold > -30 || hot > -cold {
		return false, cold < -30 || hot > 30
	}
	for _, o := range obs {
		if ((role{watch: "lambda apart"}).covers(o.id) || o.id == "lambda") && o.evidence > 2 && o.hit.Size > 0.02 {
			return true, true
		}
	}
	return false, false
}
