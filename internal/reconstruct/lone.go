package reconstruct

import (
	"math"
	"slices"

	"traplight/internal/num/localfit"
)

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
	x := append(slices.Clone(t[left:i]), t[j:right]...)
	y := append(slices.Clone(v[left:i]), v[j:right]...)
	return localfit.ParabolaMisfit(x, y) + 0.02 // m/s: no receiver is better than its print
}
