package reconstruct

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
)

// Which side of a receiver's lone leap is wrong.
const (
	besideSpan  = 1.0  // s on either side of the leap that tell by how much what turns runs ahead
	besidePull  = 0.5  // s on either side of a reading that tell its pull
	besidePower = 0.5  // m/s², from which the car is under power
	besideFew   = 20   // readings farther off than loneSpan that tell it elsewhere
	besideAlike = 0.5  // 1, of the leap: how far the step in that may be from it
	besideOther = 2.0  // 1, by how much farther off the wrong side must be than the other
	besideCalm  = 0.12 // 1, of the leap, back to which the wrong side extends, or
	besideNoise = 3.0  // 1, robust standard deviations of the readings farther off
	besideBlind = 4.0  // s behind a leap that go where nothing tells which side is wrong, if it is of
	besideLeast = 0.05 // 1, of the speed at least
	besideQuiet = 0.4  // s of that which end it
	besideSlips = 0.12 // 1, beyond which tyres spin and tell nothing
)

// withoutWrongSides is a receiver's speed without the side, loneSpan at most, of each lone leap of it that
// what turns with the tyres gives the lie. Tyres slip by about as much more as they pull more: a straight line through the
// readings farther off tells what both sides should show.
func withoutWrongSides(c *dictionary.Channel, turns func(t float64) float64) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	at, by := leaps(t, v)
	if len(at) == 0 {
		return c
	}
	ahead, pull := make([]float64, len(t)), make([]float64, len(t))
	for i := range t {
		ahead[i], pull[i] = math.NaN(), pullAt(t, v, i)
		if v[i] > strayFast {
			ahead[i] = math.Log(turns(t[i]-satLatency) / v[i])
		}
	}
	drop := make([]bool, len(t))
	lost := 0
	for n, k := range at {
		at0, slope, noise, ok := slipByPull(t, ahead, pull, t[k])
		over := func(i int) float64 { // off the line, under power
			if !(pull[i] > besidePower) {
				return math.NaN()
			}
			return ahead[i] - at0 - slope*pull[i]
		}
		side := func(from, to int) float64 {
			var x []float64
			for i := from; i < to; i++ {
				if o := over(i); o == o && math.Abs(t[i]-t[k]) < besideSpan {
					x = append(x, o)
				}
			}
			if len(x) < strayFew {
				return math.NaN()
			}
			return stats.Median(x)
		}
		step := by[n] / v[k] // 1; a speed that leaps up falls behind what turns
		left, right := side(0, k), side(k, len(t))
		if !(math.Abs(left-right-step) < besideAlike*math.Abs(step)) {
			ok = false
		}
		from, to := k, k
		off := math.Max(math.Abs(step)*besideCalm, besideNoise*noise)
		switch {
		case !ok:
			for to < len(t) && math.Abs(step) > besideLeast && t[to]-t[k] < besideBlind {
				to++
			}
		case math.Abs(left) > besideOther*math.Abs(right):
			for i := k - 1; i >= 0 && v[i] > strayFast && t[k]-t[i] < loneSpan && t[from]-t[i] < besideQuiet; i-- {
				if !(math.Copysign(1, left)*over(i) < off) { // between gears too
					from = i
				}
			}
		case math.Abs(right) > besideOther*math.Abs(left):
			for i := k; i < len(t) && v[i] > strayFast && t[i]-t[k] < loneSpan && t[i]-t[max(k, to-1)] < besideQuiet; i++ {
				if !(math.Copysign(1, right)*over(i) < off) {
					to = i + 1
				}
			}
		}
		for i := from; i < to; i++ {
			if !drop[i] {
				drop[i] = true
				lost++
			}
		}
	}
	if lost == 0 || float64(lost) > 2*leapShare*float64(len(t)) {
		return c
	}
	return without(c, drop)
}

// pullAt is a receiver's acceleration, m/s², about one of its readings, whatever leaps there.
func pullAt(t, v []float64, i int) float64 {
	var slopes []float64
	for k := i; k > 0 && t[i]-t[k-1] < besidePull; k-- {
		slopes = append(slopes, (v[k]-v[k-1])/(t[k]-t[k-1]))
	}
	for k := i + 1; k < len(t) && t[k]-t[i] < besidePull; k++ {
		slopes = append(slopes, (v[k]-v[k-1])/(t[k]-t[k-1]))
	}
	if len(slopes) == 0 {
		return math.NaN()
	}
	return stats.Median(slopes)
}

// slipByPull is the line of the share by which what turns runs ahead over the pull, s²/m, through readings under
// power farther from a time than loneSpan, and how far they lie about it: the median of the slopes of pairs half of them apart (Theil and Sen, from memory).
func slipByPull(t, ahead, pull []float64, away float64) (at0, slope, noise float64, ok bool) {
	type reading struct{ pull, ahead float64 }
	var all []reading
	for i := range t {
		if math.Abs(t[i]-away) > loneSpan && math.Abs(ahead[i]) < besideSlips && pull[i] > besidePower {
			all = append(all, reading{pull[i], ahead[i]})
		}
	}
	if len(all) < besideFew {
		return 0, 0, 0, false
	}
	slices.SortFunc(all, func(a, b reading) int {
		switch {
		case a.pull < b.pull:
			return -1
		case a.pull > b.pull:
			return 1
		}
		return 0
	})
	var slopes, rest []float64
	for i, j := 0, len(all)/2; j < len(all); i, j = i+1, j+1 {
		if d := all[j].pull - all[i].pull; d > 0.2 {
			slopes = append(slopes, (all[j].ahead-all[i].ahead)/d)
		}
	}
	if len(slopes) > 0 {
		slope = math.Max(0, stats.Median(slopes))
	}
	for _, r := range all {
		rest = append(rest, r.ahead-slope*r.pull)
	}
	return stats.Median(rest), slope, stats.MAD(rest), true
}
