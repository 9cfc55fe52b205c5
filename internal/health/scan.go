package health

import (
	"math"

	"traplight/internal/num/changepoint"
)

// scanRows looks for the most telling disturbance of rows under a model; ok is false
// when they cannot be tested.
func scanRows(r *rowset, shapes []shape, m *model) (h changepoint.Hit, profile []float64, ok bool) {
	sc, ok := readyRows(r, m)
	if !ok {
		return h, nil, false
	}
	return sc.Scan(shapes)
}

// readyRows prepares rows under a model; ok is false when they cannot be tested.
func readyRows(r *rowset, m *model) (k *changepoint.Scanner, ok bool) {
	load := r.Load
	if mean := meanLoad(load); load != nil && mean > 0 {
		scaled := make([]float64, len(load))
		for i, v := range load {
			scaled[i] = v / mean
		}
		load = scaled
	} else {
		load = nil
	}
	k, err := changepoint.Series{
		T: r.T, Y: r.calm(m), X: r.X, P: r.P,
		PriorMean: m.coef, PriorCov: m.cov, Noise: m.noise, Corr: m.corr, Load: load, Rough: r.rough(m.rough),
	}.Ready()
	return k, err == nil
}

// calm gives the readings with lone wild rows replaced by their neighbours: a
// row whose departure from the model is more than four noise standard deviations
// from the median departure of the five rows around it (Hampel's identifier). A
// disturbance of two rows, 0.4 s, stays.
func (r *rowset) calm(m *model) []float64 {
	n, p := r.len(), r.P
	e := make([]float64, n)
	for i := range e {
		e[i] = r.Y[i]
		for j := range p {
			e[i] -= r.X[i*p+j] * m.coef[j]
		}
	}
	out := append([]float64(nil), r.Y...)
	rough := r.rough(m.rough)
	buf := make([]float64, 0, 5)
	for i := range e {
		buf = buf[:0]
		for k := i - 2; k <= i+2; k++ {
			// Near an end, or a shift, the window leans to the side that has rows.
			if k >= 0 && k < n && math.Abs(r.T[k]-r.T[i]) < 0.7 {
				buf = append(buf, e[k])
			}
		}
		if len(buf) < 3 {
			continue
		}
		limit := 4 * m.noise
		if rough != nil {
			limit *= rough[i]
		}
		if med := smallMedian(buf); math.Abs(e[i]-med) > limit {
			out[i] += med - e[i]
		}
	}
	return out
}
