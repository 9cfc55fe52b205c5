package reconstruct

import "math"

const (
	loneSpan  = 6.0 // s that what begins or ends with a lone leap may last
	loneSide  = 2.0 // s of readings on either side that must run on smoothly without it
	loneLeast = 4   // readings that a side must have there
	loneSure  = 0.5 // 1, of the misfit with all readings: more than this left, and nothing is taken out
)

// loneLeap finds the stretch of readings, from one index to before another, that must be wrong
// where a speed leaps once, between readings k-1 and k: a receiver's error may begin with a leap and
// fade, or creep in and end with one. Without the right stretch what stands on both sides runs on as a parabola;
// the longer a stretch, the better it must be. ok is false where no stretch makes a difference.
func loneLeap(t, v []float64, k int) (from, to int, ok bool) {
	best := loneSure * misfitOf(t, v, k, k)
	try := func(i, j int) {
		if m := misfitOf(t, v, i, j) * (1 + t[j] - t[i]); m < best {
			best, from, to, ok = m, i, j, true
		}
	}
	for j := k + 1; j < len(t) && t[j]-t[k] < loneSpan; j++ {
		try(k, j)
	}
	for i := k - 1; i > 0 && t[k]-t[i] < loneSpan; i-- {
		try(i, k)
	}
	return from, to, ok
}

// misfitOf is how far, m/s root mean square, the readings on both sides of those from i to before
// j lie off a common parabola; infinite where a side has too few.
func misfitOf(t, v []float64, i, j int) float64 {
	var left, right int
	for left = i; left > 0 && (t[i]-t[left-1] < loneSide || i-left < loneLeast); left-- {
	}
	for right = j; right < len(t) && (t[right]-t[j] < loneSide || right-j < loneLeast); right++ {
	}
	if i-left < loneLeast || right-j < loneLeast {
		return math.Inf(1)
	}
	var s [5]float64
	var y [3]float64
	mid := (t[left] + t[right-1]) / 2
	half := (t[right-1] - t[left]) / 2
	each := func(f func(u, v float64)) {
		for k := left; k < right; k++ {
			if k < i || k >= j {
				f((t[k]-mid)/half, v[k])
			}
		}
	}
	each(func(u, v float64) {
		p := 1.0
		for n := range s {
			s[n] += p
			if n < 3 {
				y[n] += p * v
			}
			p *= u
		}
	})
	c, ok := parabola(s, y)
	if !ok {
		return math.Inf(1)
	}
	sum := 0.0
	each(func(u, v float64) { sum += sq(v - c[0] - u*(c[1]+u*c[2])) })
	return math.Sqrt(sum/s[0]) + 0.02 // m/s: no receiver is better than its print
}

// parabola solves the normal equations of a parabola: s are the sums of powers of place from 0 to
// 4, y those of value times power from 0 to 2.
func parabola(s [5]float64, y [3]float64) (c [3]float64, ok bool) {
	det := func(a, b, d, e, f, g, h, k, l float64) float64 {
		return a*(f*l-g*k) - b*(e*l-g*h) + d*(e*k-f*h)
	}
	d := det(s[0], s[1], s[2], s[1], s[2], s[3], s[2], s[3], s[4])
	if math.Abs(d) < 1e-12 {
		return c, false
	}
	c[0] = det(y[0], s[1], s[2], y[1], s[2], s[3], y[2], s[3], s[4]) / d
	c[1] = det(s[0], y[0], s[2], s[1], y[1], s[3], s[2], y[2], s[4]) / d
	c[2] = det(s[0], s[1], y[0], s[1], s[2], y[1], s[2], s[3], y[2]) / d
	return c, true
}
