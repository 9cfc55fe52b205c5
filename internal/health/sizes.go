package health

import "math"

// sizes are how far the watches that the rules below weigh have moved; what did not move has
// no size.
type sizes struct {
	loss                                float64 // share of torque lost, 1
	lambda                              float64 // lambda of all cylinders, 1
	lambdaApart                         float64 // lambda of one bank against the other, 1
	exhaustApart                        float64 // exhaust of one cylinder or bank against the others, K
	torqueMoved, lambdaMoved            bool
	lambdaApartMoved, exhaustApartMoved bool
}

func sizesOf(obs []*observation) (z sizes) {
	var torque float64
	torque, z.torqueMoved = size(obs, "torque over air")
	z.loss = -math.Expm1(torque)
	z.lambda, z.lambdaMoved = size(obs, "lambda")
	z.lambdaApart, z.lambdaApartMoved = largest(obs, "lambda apart")
	z.exhaustApart, z.exhaustApartMoved = largest(obs, "exhaust apart")
	return z
}

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
