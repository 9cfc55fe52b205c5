package changepoint

// level gives residual sums of squares about the mean of any stretch of a series, from
// sums over its start.
type level struct{ y, yy []float64 }

func newLevel(y []float64) level {
	m := mean(y) // centred, since the sums are of squares
	c := level{make([]float64, len(y)+1), make([]float64, len(y)+1)}
	for k, v := range y {
		v -= m
		c.y[k+1], c.yy[k+1] = c.y[k]+v, c.yy[k]+v*v
	}
	return c
}

// rss is the residual sum of squares of samples from ≤ k < to, in the series' unit squared.
func (c level) rss(from, to int) float64 {
	n := float64(to - from)
	if n <= 0 {
		return 0
	}
	s := c.y[to] - c.y[from]
	return max(c.yy[to]-c.yy[from]-s*s/n, 0)
}
