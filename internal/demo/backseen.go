package demo

import "math"

// backUp is the share, 1, of a gear's highest manifold pressure from which on boost counts as up; common
// practice, no source. While it rises the wastegate is shut, and every turbo asks for more.
const backUp = 0.85

const (
	backEvery = 0.01 // s
	backMeans = 10   // of those, over which the ratio is meant
)

// backSeen is the course of one gear's back pressure at full throttle.
type backSeen struct {
	since             float64   // s, since it was kept
	manifolds, ratios []float64 // Pa absolute; 1
}

// see takes a step of h, s, with exhaust and manifold at these pressures, Pa absolute.
func (b *backSeen) see(exhaust, manifold, h float64) {
	if b.since += h; b.since >= backEvery {
		b.manifolds, b.ratios, b.since = append(b.manifolds, manifold), append(b.ratios, exhaust/manifold), 0
	}
}

// most is the highest ratio, 1, of turbine inlet over manifold from where boost was up; 0 where the
// gear was not seen for so long.
func (b *backSeen) most() (ratio float64) {
	high := 0.0
	for _, p := range b.manifolds {
		high = math.Max(high, p)
	}
	sum, n := 0.0, 0
	for i, p := range b.manifolds {
		if n == 0 && p < backUp*high {
			continue
		}
		sum += b.ratios[i]
		if n++; n > backMeans {
			sum -= b.ratios[i-backMeans]
		}
		if n >= backMeans {
			ratio = math.Max(ratio, sum/backMeans)
		}
	}
	return ratio
}
