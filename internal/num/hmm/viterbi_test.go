package hmm

import (
	"math"
	"math/rand/v2"
	"testing"
)

// brute enumerates every path: the definition itself is the referee.
func brute(m *Model) (best []int, post [][]float64) {
	n, s := len(m.Emission), len(m.Start)
	post = make([][]float64, n)
	for i := range post {
		post[i] = make([]float64, s)
	}
	total, top := 0.0, math.Inf(-1)
	path := make([]int, n)
	var walk func(t int, lp float64)
	walk = func(t int, lp float64) {
		if t == n {
			p := math.Exp(lp)
			total += p
			for i, j := range path {
				post[i][j] += p
			}
			if lp > top {
				top = lp
				best = append(best[:0], path...)
			}
			return
		}
		for j := 0; j < s; j++ {
			path[t] = j
			step := m.Start[j]
			if t > 0 {
				step = m.Transition[path[t-1]][j]
				if m.Hold != nil && m.Group[path[t-1]] != 0 && m.Group[path[t-1]] != m.Group[j] {
					step += m.Hold[t]
				}
			}
			walk(t+1, lp+step+m.Emission[t][j])
		}
	}
	walk(0, 0)
	for i := range post {
		for j := range post[i] {
			post[i][j] /= total
		}
	}
	return best, post
}

func TestAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for k := 0; k < 30; k++ {
		s, n := 2+k%3, 1+k%6
		m := &Model{}
		for i := 0; i < s; i++ {
			m.Start = append(m.Start, -r.Float64()*3)
			row := make([]float64, s)
			for j := range row {
				row[j] = -r.Float64() * 4
			}
			m.Transition = append(m.Transition, row)
		}
		for i := 0; i < n; i++ {
			row := make([]float64, s)
			for j := range row {
				row[j] = r.NormFloat64()
			}
			m.Emission = append(m.Emission, row)
		}
		if k%2 == 1 {
			m.Group = make([]int, s)
			m.Group[s-1], m.Group[0] = 1, s%2 // with an odd number of states the first and last may change freely
			for range m.Emission {
				m.Hold = append(m.Hold, -2*r.Float64())
			}
		}
		want, post := brute(m)
		got := m.Path()
		for i := range want {
			if got[i] != want[i] {
				t.Fatalf("case %d: path %v, enumeration %v", k, got, want)
			}
		}
		pp := m.Posterior()
		for i := range pp {
			for j := range pp[i] {
				if math.Abs(pp[i][j]-post[i][j]) > 1e-12 {
					t.Fatalf("case %d: posterior %v, enumeration %v", k, pp[i], post[i])
				}
			}
		}
	}
}
