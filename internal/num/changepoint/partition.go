package changepoint

import "math"

// Model is what is constant within a segment.
type Model int

// The models of a segment.
const (
	Mean Model = iota // a level
	Line              // a level and a slope over the index
)

// params is the number of coefficients of one channel in one segment.
func (m Model) params() int { return int(m) + 1 }

// Cost gives residual sums of squares of segments in constant time. Several
// channels are joint: they share their breaks, and their sums are added, so each
// must come divided by its noise standard deviation when there are more than one.
type Cost struct {
	n     int
	model Model
	// prefix sums by channel: y, y², i·y; and of i and i² once
	y, yy, iy [][]float64
	i, ii     []float64
}

// NewCost prepares channels, all of the same length n; it panics when lengths
// differ. Values are in the channel's unit over its noise.
func NewCost(model Model, channels ...[]float64) *Cost {
	c := &Cost{model: model}
	if len(channels) == 0 {
		return c
	}
	c.n = len(channels[0])
	for _, ch := range channels {
		if len(ch) != c.n {
			panic("changepoint: channels differ in length")
		}
		// Centred, since the sums are of squares.
		m := 0.0
		for _, v := range ch {
			m += v / float64(c.n)
		}
		y, yy, iy := make([]float64, c.n+1), make([]float64, c.n+1), make([]float64, c.n+1)
		for k, v := range ch {
			v -= m
			y[k+1], yy[k+1], iy[k+1] = y[k]+v, yy[k]+v*v, iy[k]+float64(k)*v
		}
		c.y, c.yy, c.iy = append(c.y, y), append(c.yy, yy), append(c.iy, iy)
	}
	c.i, c.ii = make([]float64, c.n+1), make([]float64, c.n+1)
	for k := range c.n {
		c.i[k+1], c.ii[k+1] = c.i[k]+float64(k), c.ii[k]+float64(k)*float64(k)
	}
	return c
}

// RSS is the residual sum of squares of samples from ≤ k < to, in squared units
// of the channels.
func (c *Cost) RSS(from, to int) float64 {
	n := float64(to - from)
	if n <= 0 {
		return 0
	}
	si, sii := c.i[to]-c.i[from], c.ii[to]-c.ii[from]
	vi := sii - si*si/n
	sum := 0.0
	for ch := range c.y {
		s := c.y[ch][to] - c.y[ch][from]
		r := c.yy[ch][to] - c.yy[ch][from] - s*s/n
		if c.model == Line && vi > 0 {
			cv := c.iy[ch][to] - c.iy[ch][from] - si*s/n
			r -= cv * cv / vi
		}
		sum += max(r, 0)
	}
	return sum
}

// Fixed is the best cut into breaks+1 segments of at least minLen samples: the
// break places in rising order and the total RSS. ok is false when the series is
// too short for that many.
func (c *Cost) Fixed(breaks, minLen int) (at []int, rss float64, ok bool) {
	minLen = max(minLen, 1)
	if c.n < (breaks+1)*minLen {
		return nil, math.NaN(), false
	}
	best := make([]float64, c.n+1) // best[k]: cost of samples before k with the segments so far
	for k := range best {
		best[k] = c.RSS(0, k)
		if k < minLen {
			best[k] = math.Inf(1)
		}
	}
	from := make([][]int, breaks)
	for b := range breaks {
		next := make([]float64, c.n+1)
		from[b] = make([]int, c.n+1)
		for k := range next {
			next[k] = math.Inf(1)
			for j := (b + 1) * minLen; j+minLen <= k; j++ {
				if v := best[j] + c.RSS(j, k); v < next[k] {
					next[k], from[b][k] = v, j
				}
			}
		}
		best = next
	}
	at = make([]int, breaks)
	k := c.n
	for b := breaks - 1; b >= 0; b-- {
		k = from[b][k]
		at[b] = k
	}
	return at, best[c.n], true
}

// Penalised is the cut that minimises RSS + penalty × breaks, penalty in squared
// units of the channels (for channels divided by their noise: a pure number, of
// the size 2·ln n a coefficient). Cost grows with n².
func (c *Cost) Penalised(penalty float64, minLen int) []int {
	minLen = max(minLen, 1)
	best := make([]float64, c.n+1)
	from := make([]int, c.n+1)
	for k := range best {
		best[k] = math.Inf(1) // too short to stand alone
	}
	best[0] = -penalty
	for k := minLen; k <= c.n; k++ {
		best[k] = math.Inf(1)
		for j := 0; j+minLen <= k; j++ {
			if v := best[j] + c.RSS(j, k) + penalty; v < best[k] {
				best[k], from[k] = v, j
			}
		}
	}
	var at []int
	for k := from[c.n]; k > 0; k = from[k] {
		at = append([]int{k}, at...)
	}
	return at
}

// BIC is Schwarz's criterion for one channel cut into breaks+1 segments with a
// common unknown variance, unit 1; rss in squared units of the channel. The
// break places count as one parameter each.
func (c *Cost) BIC(breaks int, rss float64) float64 {
	n := float64(c.n)
	k := float64((c.model.params() + 1) * (breaks + 1))
	return n*(math.Log(rss/n)+1+math.Log(2*math.Pi)) + math.Log(n)*k
}
