package motion

import "math"

const (
	shakeFrom   = 12.0 // m/s, speed from which vibration is taken to grow with speed
	shakeLeast  = 0.3  // 1, least share of the noise at speed that is there at low speed too
	shakeLags   = 3    // samples over which vibration is taken to last
	shakeColour = 4.0  // 1, most by which correlation may raise the variance
	shakeFew    = 20   // samples below which a level is not estimated
)

// shake re-estimates an accelerometer's noise: a constant part, read at low speed, and a
// part that grows with speed, since road and engine shake a car the harder the faster it
// goes (common practice, no source). Residuals alone would say too little where samples are
// sparser than knots, which can follow each: what three neighbouring readings are off a
// straight line is the other measure (Gasser, Sroka, Jennen-Steinmetz 1986, from memory),
// and the larger holds.
func (ch *channel) shake(res []float64) {
	slow, fast := ch.slow[:0], ch.fast[:0] // a car that stands does not shake as one that moves
	for j, e := range res {
		switch v := ch.at[j].v; {
		case v >= shakeFrom:
			fast = append(fast, shaken{v, e, ch.bend(j)})
		case v > slowest:
			slow = append(slow, shaken{v, e, ch.bend(j)})
		}
	}
	ch.slow, ch.fast = slow, fast
	if cap(ch.buf) < len(res) {
		ch.buf = make([]float64, 0, len(res))
	}
	buf := ch.buf[:0]
	left, bent := ch.levels(buf, midLeft, slow, fast)
	if math.IsNaN(left) {
		left = 1.4826 * medianAbs(append(buf, res...))
	}
	all := math.Max(left, bent)
	if math.IsNaN(all) {
		return
	}
	low := all
	if len(slow) >= shakeFew {
		low = math.Max(ch.levels(buf, midSlowLeft, slow))
	}
	ch.sigma = math.Sqrt(sq(math.Max(low, math.Max(shakeLeast*all, 1e-4))) + 0.25*sq(ch.floor))
	ch.rel = 0
	if len(fast) >= shakeFew {
		known := sq(0.6745 * ch.sigma)
		for _, s := range fast {
			buf = append(buf, math.Sqrt(math.Max(0, sq(s.left)-known))/s.v)
		}
		ch.rel = 1.4826 * ch.mid.of(midFastLeft, buf)
		buf = buf[:0]
		for _, s := range fast {
			buf = append(buf, math.Sqrt(math.Max(0, sq(s.bent)-known))/s.v)
		}
		ch.rel = math.Max(ch.rel, 1.4826*ch.mid.of(midFastBent, buf))
	}
	// residuals that knots have followed tell nothing of correlation
	trust := math.Max(0, math.Min(1, (left/math.Max(bent, 1e-9)-0.5)/0.4))
	ch.colour = 1 + trust*(ch.correlated(res)-1)
}

// shaken is one sample: speed, m/s, residual and bend, m/s².
type shaken struct{ v, left, bent float64 }

// levels is the robust standard deviation of residuals and bends, m/s², NaN without samples;
// their middles are which and the one after it. buf is room to work in.
func (ch *channel) levels(buf []float64, which middleKind, in ...[]shaken) (left, bent float64) {
	for _, part := range in {
		for _, s := range part {
			buf = append(buf, s.left)
		}
	}
	left = 1.4826 * ch.mid.of(which, buf)
	buf = buf[:0]
	for _, part := range in {
		for _, s := range part {
			buf = append(buf, s.bent)
		}
	}
	return left, 1.4826 * ch.mid.of(which+1, buf)
}

// bend is how far the middle of three neighbouring samples lies off the line through the
// others, as the standard deviation of one sample.
func (ch *channel) bend(j int) float64 {
	if j == 0 || j+1 >= len(ch.idx) {
		return 0
	}
	a, b, c := ch.src.V[ch.idx[j-1]], ch.src.V[ch.idx[j]], ch.src.V[ch.idx[j+1]]
	return (a - 2*b + c) / math.Sqrt(6)
}

// correlated is the ratio of the noise's variance in the long run to that of a sample, one
// plus twice the sum of its correlations (Bartlett 1946, from memory): vibration lasts longer
// than a sample, and averages out the slower. Residuals count in standard deviations and no
// wilder than three.
func (ch *channel) correlated(res []float64) float64 {
	z := ch.buf[:len(res)]
	own := 0.0
	for j, e := range res {
		e /= math.Sqrt(sq(ch.sigma) + sq(ch.rel*ch.at[j].v))
		z[j] = math.Max(-3, math.Min(3, e))
		own += z[j] * z[j]
	}
	sum := 1.0
	for k := 1; k <= shakeLags && own > 0; k++ {
		c := 0.0
		for j := k; j < len(z); j++ {
			c += z[j] * z[j-k]
		}
		sum += 2 * math.Max(0, c) / own
	}
	return math.Min(sum, shakeColour)
}
