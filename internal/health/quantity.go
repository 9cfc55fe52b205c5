package health

import "math"

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
	switch c.kind {
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
			s += steady(obs, "torque over air")
		}
		if okE && math.Abs(apartE) > 100 {
			s += 3
		}
	case Ignition:
		if okT {
			s -= steady(obs, "torque over air")
			if okA || okE {
				s -= 2 // what comes and goes in all cylinders moves no bank against the other
			}
		}
	case MixtureImbalance, MixtureLean:
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
	}
	return s
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

// steady is +1 when a watch's disturbance stays once it has come, −1.5 when it
// passes or follows the load.
func steady(obs []*observation, id string) float64 {
	for _, o := range obs {
		if o.id != id {
			continue
		}
		switch {
		case o.hit.Shape.Last > 0 && o.hit.Shape.Last < 1:
			return -1.5
		case o.hit.Shape.ByLoad:
			return -0.5
		case o.hit.Shape == step || o.hit.Shape == ramp3:
			return 1
		}
	}
	return 0
}
