package robust

import (
	"math"

	"traplight/internal/num/stats"
)

// Weight is the rule by which an observation loses its say.
type Weight int

// The weight functions.
const (
	Huber  Weight = iota // weight c/|u| beyond c; convex, one solution
	Tukey                // bisquare: (1−(u/c)²)² within c, nothing beyond
	Square               // least squares
)

// weight is ψ(u)/u, unit 1, for a residual of u robust standard deviations.
func (c Config) weight(u float64) float64 {
	u = math.Abs(u)
	switch {
	case c.Weight == Square || u == 0:
		return 1
	case c.Weight == Huber:
		return min(1, c.Tuning/u)
	case u >= c.Tuning:
		return 0
	}
	v := 1 - (u/c.Tuning)*(u/c.Tuning)
	return v * v
}

// slope is ψ′(u), unit 1.
func (c Config) slope(u float64) float64 {
	u = math.Abs(u) / c.Tuning
	switch {
	case c.Weight == Square:
		return 1
	case u >= 1:
		return 0
	case c.Weight == Huber:
		return 1
	}
	return (1 - u*u) * (1 - 5*u*u)
}

func (c Config) scale(r []float64, p int) float64 {
	if c.Weight == Square {
		s := 0.0
		for _, e := range r {
			s += e * e
		}
		if len(r) <= p {
			return math.Sqrt(s)
		}
		return math.Sqrt(s / float64(len(r)-p))
	}
	a := make([]float64, len(r))
	for i, e := range r {
		a[i] = math.Abs(e)
	}
	return stats.MADToSD * stats.Median(a)
}
