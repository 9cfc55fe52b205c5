package health

import "math"

// Shop is what the shop's other cars tell of how far a healthy car's relations
// wander from pass to pass and how its readings scatter: a prior for a car with few
// passes of its own (empirical Bayes). Levels and slopes are each car's own and not
// taken over. The nil Shop knows nothing.
type Shop struct {
	cars [][]Summary // clear passes by car
}

// leastShopPasses are the passes a car must have to tell anything.
const leastShopPasses = 4

// NewShop takes the clear passes of the other cars, by car. Cars with fewer than
// four passes are left out; nil when none is left.
func NewShop(cars ...[]Summary) *Shop {
	s := &Shop{}
	for _, c := range cars {
		if len(c) >= leastShopPasses {
			s.cars = append(s.cars, c)
		}
	}
	if len(s.cars) == 0 {
		return nil
	}
	return s
}

// Cars is the number of cars that it rests on.
func (s *Shop) Cars() int {
	if s == nil {
		return 0
	}
	return len(s.cars)
}

// informed is a watch with the spreads of its prior drawn toward what the other cars
// show: variances weighed by passes, the prior counting for four.
func (s *Shop) informed(w spec) spec {
	if s == nil {
		return w
	}
	p := len(w.terms)
	wander, noise, least := make([]float64, p), priorPasses*sq(w.noise), priorPasses*max(1, w.least)
	for j, t := range w.terms {
		wander[j] = priorPasses * sq(t.wander)
	}
	n := priorPasses
	for _, car := range s.cars {
		var ds []*digest
		for _, pass := range car {
			if d := pass.Digests[w.id]; d != nil && len(d.XY) == p {
				ds = append(ds, d)
			}
		}
		if len(ds) < leastShopPasses {
			continue
		}
		m := w.learn(ds, nil)
		k := m.passes
		for j := range wander {
			wander[j] += k * sq(m.wander[j])
		}
		noise += k * sq(m.noise)
		least += k * m.excess
		n += k
	}
	out := w
	out.terms = append([]term(nil), w.terms...)
	for j := range out.terms {
		out.terms[j].wander = math.Sqrt(wander[j] / n)
	}
	out.noise = math.Sqrt(noise / n)
	out.least = max(w.least, least/n)
	return out
}
