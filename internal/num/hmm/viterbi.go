// Package hmm finds the most probable path and the state probabilities of a
// hidden Markov model with few states. Sources: Viterbi (1967) IEEE Trans. Inf.
// Theory 13, 260; Rabiner (1989) Proc. IEEE 77, 257 (forward–backward), both from
// memory. Paths are found on logarithms, posteriors on scaled probabilities.
package hmm

import "math"

// Model is a chain of len(Emission) steps over S states.
type Model struct {
	Start      []float64   // log probability of each state at the first step
	Transition [][]float64 // log probability from state i to state j; −Inf forbids
	Emission   [][]float64 // by step, log density of what was seen in each state
	// Hold, by step, is added to the log probability of leaving a state for one of
	// another Group at that step: evidence that nothing changed. nil means none.
	// Group 0 may be left freely.
	Hold  []float64
	Group []int
}

// step is the log probability of going from state i to j into step t.
func (m *Model) step(t, i, j int) float64 {
	v := m.Transition[i][j]
	if m.Hold != nil && m.Group[i] != 0 && m.Group[i] != m.Group[j] {
		v += m.Hold[t]
	}
	return v
}

// Path returns the most probable state at each step. It is empty for an empty chain.
func (m *Model) Path() []int {
	n, s := len(m.Emission), len(m.Start)
	if n == 0 {
		return nil
	}
	score := make([]float64, s)
	back := make([]int16, n*s)
	for j := range score {
		score[j] = m.Start[j] + m.Emission[0][j]
	}
	next := make([]float64, s)
	for t := 1; t < n; t++ {
		for j := 0; j < s; j++ {
			best, arg := math.Inf(-1), 0
			for i := 0; i < s; i++ {
				if v := score[i] + m.step(t, i, j); v > best {
					best, arg = v, i
				}
			}
			next[j] = best + m.Emission[t][j]
			back[t*s+j] = int16(arg)
		}
		score, next = next, score
	}
	best := 0
	for j := range score {
		if score[j] > score[best] {
			best = j
		}
	}
	path := make([]int, n)
	path[n-1] = best
	for t := n - 1; t > 0; t-- {
		path[t-1] = int(back[t*s+path[t]])
	}
	return path
}

// Posterior returns, by step, the probability of each state given everything seen.
func (m *Model) Posterior() [][]float64 {
	n, s := len(m.Emission), len(m.Start)
	if n == 0 {
		return nil
	}
	// scaled probabilities rather than logarithms: no exponential in the inner loop
	tr := make([]float64, s*s)
	for i := range m.Transition {
		for j, v := range m.Transition[i] {
			tr[i*s+j] = math.Exp(v)
		}
	}
	em := make([]float64, n*s)
	hold := make([]float64, n)
	for t := range m.Emission {
		top := math.Inf(-1)
		for _, v := range m.Emission[t] {
			top = math.Max(top, v)
		}
		for j, v := range m.Emission[t] {
			em[t*s+j] = math.Exp(v - top)
		}
		hold[t] = 1
		if m.Hold != nil {
			hold[t] = math.Exp(m.Hold[t])
		}
	}
	factor := func(t, i, j int) float64 {
		v := tr[i*s+j]
		if m.Hold != nil && m.Group[i] != 0 && m.Group[i] != m.Group[j] {
			v *= hold[t]
		}
		return v
	}
	fw := make([][]float64, n)
	flat := make([]float64, n*s)
	normalise := func(x []float64) {
		sum := 0.0
		for _, v := range x {
			sum += v
		}
		if sum > 0 {
			for i := range x {
				x[i] /= sum
			}
		}
	}
	for t := range fw {
		fw[t] = flat[t*s : t*s+s]
		for j := 0; j < s; j++ {
			v := 0.0
			if t == 0 {
				v = math.Exp(m.Start[j])
			} else {
				for i := 0; i < s; i++ {
					v += fw[t-1][i] * factor(t, i, j)
				}
			}
			fw[t][j] = v * em[t*s+j]
		}
		normalise(fw[t])
	}
	bw, prev := make([]float64, s), make([]float64, s)
	for j := range bw {
		bw[j] = 1
	}
	for t := n - 1; t >= 0; t-- {
		if t < n-1 {
			for i := 0; i < s; i++ {
				prev[i] = 0
				for j := 0; j < s; j++ {
					prev[i] += factor(t+1, i, j) * em[(t+1)*s+j] * bw[j]
				}
			}
			copy(bw, prev)
			normalise(bw)
		}
		for j := range bw {
			fw[t][j] *= bw[j]
		}
		normalise(fw[t])
	}
	return fw
}
