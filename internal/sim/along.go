package sim

import "sort"

// Along is a quantity along the strip: linear between places, held level beyond the ends.
type Along struct {
	X []float64 // m from the staged position, rising
	Y []float64 // the quantity there, in its own unit; of grip 1
}

// At is the value at a place, m.
func (a *Along) At(x float64) float64 {
	i := sort.SearchFloat64s(a.X, x)
	switch {
	case len(a.X) == 0:
		return 1
	case i == 0:
		return a.Y[0]
	case i == len(a.X):
		return a.Y[i-1]
	}
	u := (x - a.X[i-1]) / (a.X[i] - a.X[i-1])
	return a.Y[i-1]*(1-u) + a.Y[i]*u
}
