package changepoint

func (k *Scanner) whiten(v []float64) []float64 {
	out := make([]float64, k.n)
	for i := range v {
		out[i] = k.over(v[i], i)
		if i > 0 {
			out[i] -= k.decay[i] * k.over(v[i-1], i-1)
		}
		out[i] *= k.scale[i]
	}
	return out
}

// over is a row's value over how rough the row is.
func (k *Scanner) over(v float64, i int) float64 {
	if k.rough == nil {
		return v
	}
	return v / k.rough[i]
}

// project sets c = L⁻¹Xᵀv for a whitened v that is zero before row from.
func (k *Scanner) project(c, v []float64, from int) {
	p := k.p
	clear(c)
	for i := from; i < k.n; i++ {
		if v[i] == 0 {
			continue
		}
		row := k.x[i*p : i*p+p]
		for j := range row {
			c[j] += row[j] * v[i]
		}
	}
	forward(k.l, c, p)
}
