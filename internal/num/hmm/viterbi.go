// Package hmm finds the most probable path and the state probabilities of a
// hidden Markov model with few states. Sources: Viterbi (1967) IEEE Trans. Inf.
// Theory 13, 260; Rabiner (1989) Proc. IEEE 77, 257 (forward–backward), both from
// memory. It works on logarithms throughout.
package hmm

import "math"

// Model is a chain of len(Emission) steps over S states.
type Model struct {
	Start      []float64   // log probability of each state at the first step
	Transition [][]float64 // log probability from state i to state j; −Inf forbids
	Emission   [][]float64 // by step, log density of what was seen in each state
	// Hold, by step, is added to the log probability of leaving a state other than
	// 0 for another at that step: evidence that nothing changed. nil means none.
	Hold []float64
}

// step is the log probability of going from state i to j into step t.
func (m *Model) step(t, i, j int) float64 {
	v := m.Transition[i][j]
	if m.Hold != nil && i != j && i != 0 {
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
	fw := make([][]float64, n)
	tmp := make([]float64, s)
	for t := range fw {
		fw[t] = make([]float64, s)
		for j := 0; j < s; j++ {
			if t == 0 {
				fw[t][j] = m.Start[j] + m.Emission[t][j]
				continue
			}
			for i := 0; i < s; i++ {
				tmp[i] = fw[t-1][i] + m.step(t, i, j)
			}
			fw[t][j] = logSum(tmp) + m.Emission[t][j]
		}
	}
	bw := make([]float64, s)
	prev := make([]float64, s)
	for t := n - 1; t >= 0; t-- {
		for j := range tmp {
			tmp[j] = fw[t][j] + bw[j]
		}
		z := logSum(tmp)
		for j := range tmp {
			fw[t][j] = math.Exp(fw[t][j] + bw[j] - z)
		}
		if t == 0 {
			break
		}
		for i := 0; i < s; i++ {
			for j := 0; j < s; j++ {
				tmp[j] = m.step(t, i, j) + m.Emission[t][j] + bw[j]
			}
			prev[i] = logSum(tmp)
		}
		copy(bw, prev)
	}
	return fw
}

func logSum(x []float64) float64 {
	m := math.Inf(-1)
	for _, v := range x {
		m = math.Max(m, v)
	}
	if math.IsInf(m, -1) {
		return m
	}
	s := 0.0
	for _, v := range x {
		s += math.Exp(v - m)
	}
	return m + math.Log(s)
}
