package logfile

import (
	"math"
	"slices"
)

// usualStep is the usual time between rows, s, and whether rows are evenly
// spaced but for the print of their stamps, repeats and jumps.
func usualStep(t []float64, stamp float64) (step float64, isEven bool) {
	var d []float64
	same := 0
	for i := 1; i < len(t); i++ {
		switch x := t[i] - t[i-1]; {
		case x > 0:
			d = append(d, x)
		case x == 0:
			same++
		}
	}
	if len(d) == 0 {
		return 0.01, false
	}
	m := median(d)
	if 10*same > 9*len(t) {
		if step := tickStep(t); step > 0 {
			return step, true
		}
	}
	if 20*same < len(d) {
		step = m
		if m < 20*stamp { // stamps too coarse for one step: the mean is finer
			step = meanStep(t, 1.5*m+stamp)
		}
	} else {
		step = meanStep(t, 3*m)
	}
	near := 0
	for _, x := range d {
		k := max(1, math.Round(x/step))
		if k <= max(3, math.Ceil(2*stamp/step)) && math.Abs(x-k*step) <= max(1.01*stamp, 0.02*step) {
			near++
		}
	}
	isEven = float64(near) > 0.95*float64(len(d)) && float64(same) < 0.9*float64(len(t))
	if isEven {
		step = finerStep(t, step, stamp)
	}
	return step, isEven
}

// finerStep is the step of even rows as the slope of their times over their
// count, s, and the round number next to it if that is no different.
func finerStep(t []float64, step, stamp float64) float64 {
	var fit sums
	k := 0.0 // row number by the clock
	for i := range t {
		if i > 0 {
			d := t[i] - t[i-1]
			if d < 0 || d > 1000*step { // a new count
				k, fit = 0, sums{}
			} else if stamp < 0.5*step || d > 3*step+2*stamp {
				k += math.Round(d / step)
			} else {
				k++
			}
		}
		fit.add(k, t[i]-t[0])
		// A count over a quarter of the rows decides; a short one at the end does
		// not.
		if fit.n > 3 && fit.n >= float64(len(t))/4 && fit.det() > 0 {
			if slope := fit.slope(); math.Abs(slope-step) < 0.1*step {
				step = slope
			}
		}
	}
	for _, scale := range []float64{1, 10, 100, 200, 500, 1000, 1e4, 1e5} {
		if r := math.Round(step*scale) / scale; r > 0 && math.Abs(r-step) < 2e-6*step {
			return r
		}
	}
	return step
}

// meanStep is the mean step of rows, s, over steps up to most.
func meanStep(t []float64, most float64) float64 {
	sum, n := 0.0, 0
	for i := 1; i < len(t); i++ {
		if x := t[i] - t[i-1]; x >= 0 && x <= most {
			sum += x
			n++
		}
	}
	if n == 0 || sum == 0 {
		return most
	}
	return sum / float64(n)
}

// jumpLimit is by how much a step may exceed the expected one, s, before it is a
// jump.
func jumpLimit(t []float64, step float64, isEven bool) float64 {
	if isEven {
		return jumpShare*step + 1.01*stampStep(t)
	}
	var d []float64
	for i := 1; i < len(t); i++ {
		if x := t[i] - t[i-1]; x > 0 {
			d = append(d, x)
		}
	}
	slices.Sort(d)
	if len(d) == 0 {
		return unevenJump * step
	}
	return max(unevenJump*step, unevenJump*d[len(d)*99/100])
}

// median is the median of d, which it sorts; 0 when empty.
func median(d []float64) float64 {
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}
