package health

import (
	"math"
	"sort"

	"traplight/internal/trace"
)

func nan() float64 { return math.NaN() }

func filled(n int, v float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = v
	}
	return x
}

// resample puts samples on the grid: the mean of a cell's samples where a cell
// holds several, else the line between the neighbours, and NaN across holes of
// more than half a second and five sample times. Step-like channels are held.
func resample(x trace.Trace, grid []float64, rate float64, hold bool) []float64 {
	out := filled(len(grid), nan())
	n := x.Len()
	if n == 0 || len(grid) == 0 {
		return out
	}
	hole := 0.5
	if rate > 0 {
		hole = max(hole, 5/rate)
	}
	mean := rate > 1.5/cell && !hold
	j := sort.SearchFloat64s(x.T, grid[0])
	for i, t := range grid {
		for j < n && x.T[j] < t {
			j++
		}
		// x.T[j-1] < t ≤ x.T[j]
		if mean {
			s, k := 0.0, 0
			for m := j - 1; m >= 0 && x.T[m] >= t-cell/2; m-- {
				s, k = s+x.V[m], k+1
			}
			for m := j; m < n && x.T[m] < t+cell/2; m++ {
				s, k = s+x.V[m], k+1
			}
			if k > 0 {
				out[i] = s / float64(k)
				continue
			}
		}
		switch {
		case j < n && x.T[j] == t:
			out[i] = x.V[j]
		case j == 0 || j == n:
			if hold && j == n && t-x.T[n-1] < hole {
				out[i] = x.V[n-1]
			}
		case x.T[j]-x.T[j-1] > hole:
		case hold:
			out[i] = x.V[j-1]
		default:
			w := (t - x.T[j-1]) / (x.T[j] - x.T[j-1])
			out[i] = x.V[j-1] + w*(x.V[j]-x.V[j-1])
		}
	}
	return out
}

// lag is a first-order lag of time constant tau, s; holes hold the last value.
func lag(x []float64, tau float64) []float64 {
	out := filled(len(x), nan())
	k := 1 - math.Exp(-cell/tau)
	y, on := 0.0, false
	for i, v := range x {
		if !math.IsNaN(v) {
			if !on {
				y, on = v, true
			}
			y += k * (v - y)
		}
		if on {
			out[i] = y
		}
	}
	return out
}

// comeLately is how much of the boost came within the last second, unit of the boost.
// Air that is squeezed harder is hotter at once; the thermometer tells it a second later,
// and until then there is less air than it makes believe.
func comeLately(boost []float64) []float64 {
	slow := lag(boost, 1)
	return apply(len(boost), func(i int) float64 { return boost[i] - slow[i] })
}

// rate is the slope over ±w cells, per second.
func rate(x []float64, w int) []float64 {
	out := filled(len(x), nan())
	for i := w; i+w < len(x); i++ {
		out[i] = (x[i+w] - x[i-w]) / (2 * float64(w) * cell)
	}
	return out
}

func apply(n int, g func(i int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = g(i)
	}
	return out
}
