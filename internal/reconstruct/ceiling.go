package reconstruct

import (
	"math"

	"traplight/internal/pass"
)

// stripSD is by how much grip varies along one gear's part of a strip, 1: rubber, seams, dust
// (common practice, no source).
const stripSD = 0.03

// nearGap is the gap, s, over which two stretches near the peak are one: slip is a noisy thing.
const nearGap = 0.2

// leastGrip is by how much the mean grip of a gear lies above that of the share of it, 0–1, in which
// the tyres let go, 1. They let go where grip is least or torque most: half of what it were if the
// strip alone chose the place, which for a normal spread is φ(z)/share at the quantile z of the share.
func leastGrip(share float64) float64 {
	share = min(1, max(0.05, share))
	if share == 1 {
		return 0
	}
	z := math.Sqrt2 * math.Erfinv(2*share-1)
	return 0.5 * stripSD * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / share
}

// pastPeak is the time, s, of marked samples with a tyre slip past that of peak grip, the stretches
// in which it was more than half of that, and the time, s, of all.
func (k *work) pastPeak(gear int, use []bool) (past float64, near []pass.Window, full float64) {
	top, left := 0.0, 0
	for i, u := range use {
		if !u {
			continue
		}
		full += gridStep
		if left--; left < 0 { // every tenth: it moves slowly
			left = 9
			_, top = k.curve.Over(gear, k.g.v[i])
		}
		if k.slip[i] > top {
			past += gridStep
		}
		if !(k.slip[i] > top/2) {
			continue
		}
		t := k.g.at(i)
		if n := len(near); n == 0 || t > near[n-1].To+nearGap {
			near = append(near, pass.Window{From: t})
		}
		near[len(near)-1].To = t
	}
	return past, near, full
}

// lasting is how long windows last together, s.
func lasting(w []pass.Window) float64 {
	sum := 0.0
	for _, x := range w {
		sum += x.To - x.From
	}
	return sum
}

// pullRel is the relative error, 1, of the pull over some windows that comes from the motion: grip
// is read off where the tyres are near their peak, which is often much less than a gear.
func (k *work) pullRel(windows []pass.Window) float64 {
	sum, dv := 0.0, 0.0
	for _, x := range windows {
		if x.To > x.From {
			sum += sq(k.w.res.SpeedChangeSD(x.From, x.To))
			dv += math.Abs(k.g.v[k.g.index(x.To)] - k.g.v[k.g.index(x.From)])
		}
	}
	if dv <= 0 {
		return 0
	}
	return math.Min(0.3, math.Sqrt(sum)/dv)
}
