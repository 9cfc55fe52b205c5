package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// change is the mean acceleration, m/s², of a speed over windows of 0.6 s, on a
// grid.
func change(v trace.Trace) trace.Trace {
	var out trace.Trace
	if v.Len() < 4 {
		return out
	}
	const half = 0.3
	for t := v.T[0] + half; t+half <= v.T[v.Len()-1]; t += 1.0 / compareRate {
		a, okA := windowMean(v, t-half-0.1, t-half+0.1)
		b, okB := windowMean(v, t+half-0.1, t+half+0.1)
		if okA && okB {
			out.T = append(out.T, t)
			out.V = append(out.V, (b-a)/(2*half))
		}
	}
	return out
}

// windowMean is the mean of the samples in a window, or the value interpolated
// at its middle across at most 0.3 s.
func windowMean(x trace.Trace, from, to float64) (float64, bool) {
	s := x.Slice(from, to)
	if s.Len() > 0 {
		sum := 0.0
		for _, v := range s.V {
			sum += v
		}
		return sum / float64(s.Len()), true
	}
	mid := (from + to) / 2
	i, _ := slices.BinarySearch(x.T, mid)
	if i == 0 || i >= x.Len() || x.T[i]-x.T[i-1] > 0.3 {
		return 0, false
	}
	return x.At(mid)
}

// fitChange regresses an accelerometer on the change of speed, at the lag, s,
// of the speed that fits best: slope, correlation.
func fitChange(a, dv trace.Trace) (slope, corr float64, n int) {
	for lag := 0.0; lag <= 0.5; lag += 0.1 {
		var sx, sy, sxx, sxy, syy float64
		m := 0
		for k, t := range dv.T {
			y, ok := windowMean(a, t-lag-0.3, t-lag+0.3)
			if !ok {
				continue
			}
			x := dv.V[k]
			m++
			sx += x
			sy += y
			sxx += x * x
			sxy += x * y
			syy += y * y
		}
		if m < 20 {
			continue
		}
		nn := float64(m)
		cxx, cxy, cyy := sxx-sx*sx/nn, sxy-sx*sy/nn, syy-sy*sy/nn
		if cxx <= 0 || cyy <= 0 {
			continue
		}
		if r := cxy / math.Sqrt(cxx*cyy); math.Abs(r) > math.Abs(corr) {
			corr, slope, n = r, cxy/cxx, m
		}
	}
	return slope, corr, n
}

const (
	// follows is the correlation from which an accelerometer is seen to follow
	// the change of speed.
	follows = 0.7
	// ignores is the correlation below which it does not.
	ignores = 0.45
)

// Between these a slope, change read over change of speed, agrees with the unit.
// Grades, squat of the body and lag put it off; the units in question lie a factor
// of 9.8 or more apart.
const slopeLow, slopeHigh = 0.6, 1.6

func agrees(slope float64) bool { return slope > slopeLow && slope < slopeHigh }

const (
	// usualSlope is what an accelerometer along a car reads over its change of speed: squat
	// adds a few per cent of it as a part of gravity (common practice, no source).
	usualSlope = 1.025
	// slopeOff is how far off that, as a share, an instrument is turned or scaled wrongly.
	slopeOff = 0.06
	// sureFollows is the correlation from which the slope is known to a per cent.
	sureFollows = 0.98
)

// bringToSlope scales an accelerometer whose box is turned against the car's axis, or whose
// scale is wrong, to the change of an absolute speed, and tells.
func bringToSlope(set *Set, c *Channel, slope, corr float64) {
	if math.Abs(corr) < sureFollows || math.Abs(slope/usualSlope-1) < slopeOff {
		return
	}
	c.rescale(usualSlope / slope)
	set.Notes = append(set.Notes, fmt.Sprintf("channel %q reads %.2f times the change of speed and is scaled to it (is its box turned, or its scale wrong?)", c.Name, slope/usualSlope))
}

// settleAcceleration checks axis, sign and unit of the accelerometers against
// the change of speed ref, m/s; absolute says that this is a receiver's.
func settleAcceleration(set *Set, ref trace.Trace, absolute bool) {
	dv := change(ref)
	if spreadOf(dv.V) < 0.5 { // m/s²: nothing to go by
		return
	}
	settleAxes(set, dv)
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.Quantity != quantity.AccelerationLong || c.Trace.Len() < 20 {
			continue
		}
		slope, r, n := fitChange(c.Trace, dv)
		if n == 0 || math.Abs(r) < follows {
			continue
		}
		c.Confidence = max(c.Confidence, 0.8)
		if slope < 0 {
			c.rescale(-1)
			slope = -slope
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q counts braking positive; its sign is turned", c.Name))
		}
		if !agrees(slope) {
			slope = unitBySlope(set, c, slope)
		} else if !c.toldUnit {
			c.Confidence = max(c.Confidence, min(0.95, c.nameScore))
		}
		unitForOtherAxis(set, c)
		if slope < slopeLow || slope > slopeHigh {
			c.problem(fmt.Sprintf("reads %.2f times the change of speed", slope))
			c.Confidence *= 0.7
		} else if absolute {
			bringToSlope(set, c, slope, r)
		}
	}
}

// settleAxes finds an accelerometer that is called lateral but is the one along
// the car.
func settleAxes(set *Set, dv trace.Trace) {
	var long, lat []*Channel
	for i := range set.Channels {
		c := &set.Channels[i]
		switch {
		case c.Trace.Len() < 20:
		case c.Quantity == quantity.AccelerationLong:
			long = append(long, c)
		case c.Quantity == quantity.AccelerationLat:
			lat = append(lat, c)
		}
	}
	for _, y := range lat {
		_, ry, n := fitChange(y.Trace, dv)
		if n == 0 || math.Abs(ry) < follows {
			continue
		}
		swapped := len(long) == 0
		for _, x := range long {
			if _, rx, _ := fitChange(x.Trace, dv); math.Abs(rx) < ignores {
				x.Quantity = quantity.AccelerationLat
				x.Confidence = min(x.Confidence, 0.7)
				swapped = true
			}
		}
		if swapped {
			y.Quantity = quantity.AccelerationLong
			y.Confidence = min(y.Confidence, 0.7)
			set.Notes = append(set.Notes, fmt.Sprintf("channel %q follows the change of speed and is taken for the acceleration along the car", y.Name))
		}
	}
}

// unitBySlope gives an accelerometer, and the other axis of the same instrument,
// the unit in which its slope agrees, and tells the slope in that unit.
func unitBySlope(set *Set, c *Channel, slope float64) float64 {
	u, ok := quantity.ParseUnit(c.Unit)
	if !ok {
		return slope
	}
	for _, p := range unitPrior[quantity.DimAcceleration] {
		o := quantity.MustUnit(p.unit)
		factor := o.Factor / u.Factor
		if !agrees(slope * factor) {
			continue
		}
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q fits the change of speed in %s, not in %s", c.Name, o.Symbol, u.Symbol))
		c.rescale(factor)
		c.Unit = o.String()
		for k := range set.Channels {
			if y := &set.Channels[k]; y.Quantity == quantity.AccelerationLat && y.Unit == u.String() {
				y.rescale(factor)
				y.Unit = o.String()
			}
		}
		return slope * factor
	}
	return slope
}

// unitForOtherAxis gives lateral accelerometers whose unit nobody told that of
// the one along the car, as they come from one instrument.
func unitForOtherAxis(set *Set, c *Channel) {
	o, ok := quantity.ParseUnit(c.Unit)
	if !ok {
		return
	}
	for k := range set.Channels {
		y := &set.Channels[k]
		if y.Quantity != quantity.AccelerationLat || y.toldUnit || y.Unit == c.Unit {
			continue
		}
		if u, ok := quantity.ParseUnit(y.Unit); ok {
			y.rescale(o.Factor / u.Factor)
			y.Unit = c.Unit
		}
	}
}

// spreadOf is the standard deviation of v, in its own unit.
func spreadOf(v []float64) float64 {
	if len(v) < 2 {
		return 0
	}
	mean := 0.0
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	sum := 0.0
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	return math.Sqrt(sum / float64(len(v)-1))
}
