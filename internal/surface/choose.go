package surface

import (
	"cmp"
	"math"
	"slices"
)

// choose picks the draws of every level such that, at the places, they are spread as all
// are.
func choose(at []place) (which [levels][]int, err error) {
	count := len(at[0].draws)
	y := make([][]float64, len(at)) // by place: trap speeds less their mean, m/s
	for k, p := range at {
		mean, ok := 0.0, 0.0
		for _, d := range p.draws {
			if !math.IsNaN(d.Trap) {
				mean, ok = mean+d.Trap, ok+1
			}
		}
		if ok < float64(count)/2 {
			return which, ErrDraws
		}
		mean /= ok
		y[k] = make([]float64, count)
		for i, d := range p.draws {
			if !math.IsNaN(d.Trap) { // one that does not reach the line counts as usual
				y[k][i] = d.Trap - mean
			}
		}
	}
	first := component(y)
	second := component(y)
	order := make([]int, count)
	for i := range order {
		order[i] = i
	}
	by := func(v []float64) func(a, b int) int {
		return func(a, b int) int { return cmp.Or(cmp.Compare(v[a], v[b]), cmp.Compare(a, b)) }
	}
	slices.SortFunc(order, by(first))
	// up and down the second component, layer by layer of the first
	const layers = 10
	for l := range layers {
		part := order[l*count/layers : (l+1)*count/layers]
		slices.SortFunc(part, by(second))
		if l%2 == 1 {
			slices.Reverse(part)
		}
	}
	// Every so-manieth, then those half-way between.
	var used [all]bool
	for l := range levels - 1 {
		n := look << max(0, l-1)
		for i := range n {
			part := 0.5
			if l == 1 {
				part = 0
			}
			k := order[int((float64(i)+part)*float64(count)/float64(n))]
			which[l], used[k] = append(which[l], k), true
		}
	}
	for k := range count {
		if !used[k] {
			which[levels-1] = append(which[levels-1], k)
		}
	}
	return which, nil
}

// component gives the main component's score of every draw, by the power method on the
// places' covariance, and takes it out of y.
func component(y [][]float64) []float64 {
	k, count := len(y), len(y[0])
	w := make([]float64, k)
	for i := range w {
		w[i] = 1 + 0.1*float64(i) // no symmetry to be caught in
	}
	score := make([]float64, count)
	for range 60 {
		norm := 0.0
		for _, v := range w {
			norm += v * v
		}
		if norm = math.Sqrt(norm); norm == 0 {
			return score // all draws do the same
		}
		clear(score)
		for i := range w {
			w[i] /= norm
			for j, v := range y[i] {
				score[j] += w[i] * v
			}
		}
		for i := range w {
			sum := 0.0
			for j, v := range y[i] {
				sum += v * score[j]
			}
			w[i] = sum
		}
	}
	norm := 0.0
	for _, v := range w {
		norm += v * v
	}
	if norm == 0 {
		return score
	}
	for i := range w {
		for j := range y[i] {
			y[i][j] -= w[i] / math.Sqrt(norm) * score[j]
		}
	}
	return score
}
