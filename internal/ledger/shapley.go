package ledger

import "math/bits"

// Shapley shares v over n players, n below 16. v holds the worth of every subset,
// in the caller's unit, indexed by its bits. The shares, in the same unit, add up to
// v[all] − v[none].
func Shapley(v []float64, n int) []float64 {
	// weight of a subset of size s without the player: s!(n−s−1)!/n!
	w := make([]float64, n)
	for s := range w {
		f := 1.0 / float64(n)
		// 1/(n·C(n−1, s))
		for k := 1; k <= s; k++ {
			f *= float64(k) / float64(n-k)
		}
		w[s] = f
	}
	out := make([]float64, n)
	for set := range v {
		size := bits.OnesCount(uint(set))
		for i := range out {
			if set&(1<<i) == 0 {
				out[i] += w[size] * (v[set|1<<i] - v[set])
			}
		}
	}
	return out
}
