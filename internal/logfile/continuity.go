package logfile

import (
	"math"
	"slices"
)

// Evidence of the channels on a jump of the clock: were rows lost, or was the
// clock set while the recording went on? If the rows behind the jump follow the
// rows before it directly, straight lines through the last few and the first few
// samples of a smooth channel meet halfway in one row's time; if rows were lost
// they meet halfway in the whole gap. How well they usually meet is learnt from
// the same channel around the jump, for both distances. The misfits are compared
// by the likelihood of Student's t, whose heavy tails keep one odd channel from
// deciding.
const (
	// sideSamples is how many fresh samples make the line on each side.
	sideSamples = 8
	// sideTime is how far back they may reach, s.
	sideTime = 0.6
	// around is how far from the jump the usual misfit is learnt, s.
	around = 6.0
	// freedom is Student's ν of the misfits.
	freedom = 4
	// mostNats is how much one channel may say.
	mostNats = 12
	// quietNats is what a channel must say at least to be heard.
	quietNats = 1.5
)

// stepEvidence is the log-likelihood ratio, nats, of "the clock was set by gap
// less step" over "rows are missing for gap" at row, which follows row-1.
func stepEvidence(channels [][]float64, row int, step, gap float64) float64 {
	sum, used := 0.0, 0
	for _, v := range channels {
		if e, ok := channelEvidence(v, row, step, gap); ok {
			sum += e
			used++
		}
	}
	if used == 0 {
		return 0
	}
	// Channels of one car move together; their witness is not independent.
	return sum / math.Sqrt(math.Sqrt(float64(used)))
}

// joins says whether the rows from row on go on directly from those before, for
// a clock that was set back.
func joins(channels [][]float64, row int, step float64, isEven bool) bool {
	if !isEven {
		return true
	}
	// Against the hypothesis of a break: values that have nothing to do with
	// each other. Its misfit is that of samples far apart.
	sum, used := 0.0, 0
	for _, v := range channels {
		if e, ok := breakEvidence(v, row, step); ok {
			sum += e
			used++
		}
	}
	return used == 0 || sum > 0
}

// point is a fresh sample by row.
type point struct{ k, v float64 }

// fresh gives up to m samples of v at rows from..to (exclusive), walking in
// direction dir from start; held repeats are left out.
func fresh(v []float64, start, dir, m int, reach int) []point {
	var out []point
	last := math.NaN()
	for k, n := start, 0; k >= 0 && k < len(v) && n < reach; k, n = k+dir, n+1 {
		x := v[k]
		if x != x {
			continue
		}
		if x == last && len(out) > 1 && dir < 0 {
			// Of a held stretch the earliest row is the fresh one.
			out[len(out)-1].k = float64(k)
			continue
		}
		if x == last && dir > 0 {
			continue
		}
		out = append(out, point{float64(k), x})
		last = x
		if len(out) == m {
			break
		}
	}
	return out
}

// lineAt fits a straight line to p and gives its value at row k.
func lineAt(p []point, k float64) float64 {
	var fit sums
	for _, q := range p {
		fit.add(q.k-k, q.v)
	}
	if fit.det() <= 1e-12 {
		return fit.v / fit.n
	}
	return (fit.kk*fit.v - fit.k*fit.kv) / fit.det()
}

// misfit is how far the lines of both sides miss each other halfway, when the
// row right of the gap follows gap rows behind the row left of it.
func misfit(v []float64, left, right int, gap float64, reach int) (m float64, ok bool) {
	a := fresh(v, left, -1, sideSamples, reach)
	b := fresh(v, right, 1, sideSamples, reach)
	if len(a) < 4 || len(b) < 4 {
		return 0, false
	}
	return lineAt(a, float64(left)+gap/2) - lineAt(b, float64(right)-gap/2), true
}

// channelEvidence weighs one channel.
func channelEvidence(v []float64, row int, step, gap float64) (nats float64, ok bool) {
	reach := max(sideSamples+2, int(sideTime/step))
	lost := max(2, int(math.Round(gap/step)))
	m1, ok1 := misfit(v, row-1, row, 1, reach)
	m2, ok2 := misfit(v, row-1, row, gap/step, reach)
	if !ok1 || !ok2 {
		return 0, false
	}
	var d1, d2 []float64
	span := int(max(around, 2.5*gap) / step)
	stride := max(1, span/50)
	for k := row - span; k < row+span; k += stride {
		// Neither side may cross the jump itself.
		if k > reach && k < row-reach-2 || k > row+reach && k+reach < len(v) {
			if m, ok := misfit(v, k-1, k, 1, reach); ok {
				d1 = append(d1, math.Abs(m))
			}
		}
		if a, b := k-1, k-1+lost; a > reach && b < row-reach-2 || a > row+reach && b+reach < len(v) {
			if m, ok := misfit(v, a, b, float64(lost), reach); ok {
				d2 = append(d2, math.Abs(m))
			}
		}
	}
	if len(d1) < 5 || len(d2) < 5 {
		return 0, false
	}
	e := rarity(m1, d1) - rarity(m2, d2)
	// Small differences say nothing; many of them would add up to something.
	switch {
	case e > quietNats:
		e -= quietNats
	case e < -quietNats:
		e += quietNats
	default:
		return 0, true
	}
	return max(-mostNats, min(mostNats, e)) * inertia(v, d1), true
}

// inertia weighs a channel's witness, 0 to 3: how much larger its range is than
// what one row usually changes against the straight line. Positions and speeds
// cannot jump; a throttle can.
func inertia(v []float64, usual []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range v {
		if x == x {
			low, high = min(low, x), max(high, x)
		}
	}
	s := slices.Clone(usual)
	slices.Sort(s)
	q := s[len(s)*9/10]
	if q <= 0 || high <= low {
		return 0
	}
	l := max(0, math.Log10((high-low)/q))
	return min(3, l*l/4)
}

// rarity is the logarithm of how often a misfit as large as m is met among the
// usual ones. Beyond the largest of them the tail falls as Student's t does.
func rarity(m float64, usual []float64) float64 {
	m = math.Abs(m)
	over, top := 0, 0.0
	for _, d := range usual {
		if d >= m {
			over++
		}
		top = max(top, d)
	}
	e := math.Log(float64(1+over) / float64(len(usual)+1))
	if m > top {
		if top == 0 {
			return e - mostNats
		}
		e -= freedom * math.Log(m/top)
	}
	return e
}

// breakEvidence weighs "directly on" against "nothing to do with each other".
func breakEvidence(v []float64, row int, step float64) (nats float64, ok bool) {
	reach := max(sideSamples+2, int(sideTime/step))
	m, ok := misfit(v, row-1, row, 1, reach)
	if !ok {
		return 0, false
	}
	var d1, d2 []float64
	stride := max(1, len(v)/60)
	for k := reach + 1; k+reach < len(v); k += stride {
		if k > row-reach-2 && k < row+reach+2 {
			continue
		}
		if x, ok := misfit(v, k-1, k, 1, reach); ok {
			d1 = append(d1, math.Abs(x))
		}
		far := (k + len(v)/3) % len(v)
		if a, b := fresh(v, k, -1, 2, reach), fresh(v, far, 1, 2, reach); len(a) > 0 && len(b) > 0 {
			d2 = append(d2, math.Abs(a[0].v-b[0].v))
		}
	}
	if len(d1) < 5 || len(d2) < 5 {
		return 0, false
	}
	s1, s2 := scale(d1), scale(d2)
	if s1 == 0 || s2 == 0 {
		return 0, false
	}
	e := logT(m/s1) - math.Log(s1) - logT(m/s2) + math.Log(s2)
	return max(-mostNats, min(mostNats, e)), true
}

// scale is a robust standard deviation of absolute misfits: their median, and
// not below a fifth of their mean.
func scale(d []float64) float64 {
	mean := 0.0
	for _, x := range d {
		mean += x
	}
	mean /= float64(len(d))
	slices.Sort(d)
	return max(d[len(d)/2]/0.6745, mean/5)
}

// logT is the logarithm of Student's t density at x without its constant.
func logT(x float64) float64 { return -(freedom + 1) / 2.0 * math.Log1p(x*x/freedom) }
