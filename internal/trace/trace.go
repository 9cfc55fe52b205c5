// Package trace holds one channel's samples with their own times.
package trace

import "sort"

// Trace is a column of samples: V[i] was true at T[i]. T is in seconds on the
// log's run clock (see Clock) and strictly increasing; V is in the SI unit of
// the trace's quantity and holds only real readings: blanks, held repeats and
// rejected samples are left out, never NaN. Both slices have the same length
// and are not changed after construction.
type Trace struct {
	T []float64 // s, run clock
	V []float64 // SI unit of the quantity
}

// Len is the number of samples.
func (x Trace) Len() int { return len(x.T) }

// Slice returns the samples with from ≤ T < to (s, run clock). It shares memory.
func (x Trace) Slice(from, to float64) Trace {
	i := sort.SearchFloat64s(x.T, from)
	j := sort.SearchFloat64s(x.T, to)
	if j < i {
		j = i
	}
	return Trace{x.T[i:j], x.V[i:j]}
}

// At interpolates linearly at t (s, run clock); ok is false outside the samples
// and in an empty trace.
func (x Trace) At(t float64) (v float64, ok bool) {
	n := len(x.T)
	if n == 0 || t < x.T[0] || t > x.T[n-1] {
		return 0, false
	}
	i := sort.SearchFloat64s(x.T, t)
	if x.T[i] == t {
		return x.V[i], true
	}
	f := (t - x.T[i-1]) / (x.T[i] - x.T[i-1])
	return x.V[i-1] + f*(x.V[i]-x.V[i-1]), true
}
