package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// What channels say of each other. Speeds must agree with the way the positions
// go, which needs no unit; an accelerometer must agree with the change of speed,
// in size, sign and axis. Units that were assumed are settled so, and units that
// lie are found out.

const (
	// earthRadius is the mean radius, m (IUGG); ellipsoid effects stay below
	// 0.4 %, and it only serves to tell units apart.
	earthRadius = 6371008.8
	// compareRate is the rate, Hz, of the common grid on which channels are
	// compared.
	compareRate = 10
	// agree is the relative difference up to which a speed counts as agreeing
	// with the reference (tyres, slip and lags included).
	agree = 0.12
	// unitAgree is how near a ratio must be to that of two units.
	unitAgree = 0.06
)

// relate settles units, signs and axes across channels.
func relate(set *Set) {
	way := positionSpeed(set)
	ref, how := referenceSpeed(set, way)
	if ref.Len() > 10 {
		settleSpeeds(set, ref, how)
		ref, _ = referenceSpeed(set, way)
	}
	if ref.Len() > 10 {
		settleAcceleration(set, ref)
	}
}

// isSpeed lists the quantities that are speeds of travel.
func isSpeed(q quantity.Name) bool {
	switch q {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.DrivenSpeed, quantity.VehicleSpeed, quantity.GPSSpeed:
		return true
	}
	return false
}

// referenceSpeed is the speed, m/s, that others are held against, and whence it
// is: that along the positions, way, else a speed whose unit the file tells.
func referenceSpeed(set *Set, way trace.Trace) (trace.Trace, string) {
	if way.Len() > 20 && top(way) > 5 {
		return way, "the positions"
	}
	var best *Channel
	for i := range set.Channels {
		c := &set.Channels[i]
		if !isSpeed(c.Quantity) || !c.toldUnit || c.Trace.Len() < 20 || top(c.Trace) < 5 {
			continue
		}
		rank := func(c *Channel) float64 {
			r := c.Confidence
			switch c.Quantity {
			case quantity.GPSSpeed:
				r += 1
			case quantity.VehicleSpeed:
				r += 0.5
			}
			return r
		}
		if best == nil || rank(c) > rank(best) {
			best = c
		}
	}
	if best == nil {
		return trace.Trace{}, ""
	}
	return best.Trace, fmt.Sprintf("channel %q", best.Name)
}

func top(x trace.Trace) float64 {
	m := 0.0
	for _, v := range x.V {
		m = max(m, v)
	}
	return m
}

// positionSpeed is the speed, m/s, along the positions, over steps of about half
// a second.
func positionSpeed(set *Set) trace.Trace {
	lat, lon := set.First(quantity.Latitude), set.First(quantity.Longitude)
	if lat == nil || lon == nil || lat.Trace.Len() < 10 {
		return trace.Trace{}
	}
	var out trace.Trace
	t := lat.Trace.T
	j := 0
	for i := range t {
		for j+1 < len(t) && t[j]-t[i] < 0.45 {
			j++
		}
		dt := t[j] - t[i]
		if dt < 0.4 || dt > 3 {
			continue
		}
		a, okA := lon.Trace.At(t[i])
		b, okB := lon.Trace.At(t[j])
		if !okA || !okB {
			continue
		}
		dy := lat.Trace.V[j] - lat.Trace.V[i]
		dx := (b - a) * math.Cos(lat.Trace.V[i])
		v := earthRadius * math.Hypot(dx, dy) / dt
		mid := (t[i] + t[j]) / 2
		if v < 150 && (len(out.T) == 0 || mid > out.T[len(out.T)-1]) {
			out.T = append(out.T, mid)
			out.V = append(out.V, v)
		}
	}
	return out
}

// settleSpeeds holds every speed against the reference.
func settleSpeeds(set *Set, ref trace.Trace, how string) {
	fast := 0.3 * top(ref)
	for i := range set.Channels {
		c := &set.Channels[i]
		if !isSpeed(c.Quantity) || c.Trace.Len() < 10 || len(c.Trace.V) > 0 && len(ref.V) > 0 && &c.Trace.V[0] == &ref.V[0] {
			continue
		}
		var ratios []float64
		for k, t := range ref.T {
			if ref.V[k] < max(3, fast) {
				continue
			}
			if v, ok := near(c.Trace, t, 1.5/max(c.RateHz, 1)); ok && v > 0 {
				ratios = append(ratios, v/ref.V[k])
			}
		}
		if len(ratios) < 10 {
			continue
		}
		slices.Sort(ratios)
		r := ratios[len(ratios)/2]
		if math.Abs(r-1) <= agree {
			if !c.toldUnit {
				c.Confidence = max(c.Confidence, min(0.95, c.nameScore))
				c.toldUnit = true
			}
			continue
		}
		u, err := quantity.ParseUnit(c.Unit)
		if !err {
			continue
		}
		found := false
		for _, p := range unitPrior[quantity.DimSpeed] {
			o := quantity.MustUnit(p.unit)
			if x := r * o.Factor / u.Factor; math.Abs(x-1) <= unitAgree {
				if c.toldUnit {
					set.Notes = append(set.Notes, fmt.Sprintf("channel %q says %s but goes as fast as %s only in %s, which is taken", c.Name, u.Symbol, how, o.Symbol))
					c.Confidence = min(c.Confidence, 0.7)
				} else {
					set.Notes = append(set.Notes, fmt.Sprintf("channel %q is in %s by comparison with %s", c.Name, o.Symbol, how))
					c.Confidence = max(c.Confidence, min(0.9, c.nameScore))
				}
				c.rescale(o.Factor / u.Factor)
				c.Unit = o.String()
				found = true
				break
			}
		}
		if !found {
			c.problem(fmt.Sprintf("reads %.2f times the speed of %s", r, how))
			c.Confidence *= 0.7
		}
	}
}

// near is the sample nearest to t, s, if it is within reach, s.
func near(x trace.Trace, t, reach float64) (float64, bool) {
	i, found := slices.BinarySearch(x.T, t)
	if found {
		return x.V[i], true
	}
	best, at := math.Inf(1), -1
	for _, k := range []int{i - 1, i} {
		if k >= 0 && k < len(x.T) {
			if d := math.Abs(x.T[k] - t); d < best {
				best, at = d, k
			}
		}
	}
	if at < 0 || best > max(reach, 0.06) {
		return 0, false
	}
	return x.V[at], true
}

// rescale multiplies a channel's samples.
func (c *Channel) rescale(f float64) {
	v := make([]float64, len(c.Trace.V))
	for i := range v {
		v[i] = c.Trace.V[i] * f
	}
	c.Trace.V = v
	c.Resolution *= math.Abs(f)
}

func (c *Channel) problem(text string) { c.Problems = append(c.Problems, text) }

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

// settleAcceleration checks axis, sign and unit of the accelerometers against
// the change of speed.
func settleAcceleration(set *Set, ref trace.Trace) {
	dv := change(ref)
	if spreadOf(dv.V) < 0.5 { // nothing to go by
		return
	}
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
	// Axes: the one called lateral may be the one along the car.
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
		switch {
		case slope > 0.6 && slope < 1.6:
			if !c.toldUnit {
				c.Confidence = max(c.Confidence, min(0.95, c.nameScore))
			}
		default:
			u, ok := quantity.ParseUnit(c.Unit)
			if !ok {
				break
			}
			for _, p := range unitPrior[quantity.DimAcceleration] {
				o := quantity.MustUnit(p.unit)
				if x := slope * o.Factor / u.Factor; x > 0.6 && x < 1.6 {
					set.Notes = append(set.Notes, fmt.Sprintf("channel %q fits the change of speed in %s, not in %s", c.Name, o.Symbol, u.Symbol))
					c.rescale(o.Factor / u.Factor)
					c.Unit = o.String()
					slope = x
					// The other axis comes from the same instrument.
					for _, y := range set.Channels {
						if y.Quantity == quantity.AccelerationLat && y.Unit == u.String() {
							rescaleByName(set, y.Name, o.Factor/u.Factor, o.String())
						}
					}
					break
				}
			}
		}
		for k := range set.Channels {
			// The other axis comes from the same instrument.
			if y := &set.Channels[k]; y.Quantity == quantity.AccelerationLat && !y.toldUnit && y.Unit != c.Unit {
				if o, ok := quantity.ParseUnit(c.Unit); ok {
					if u, ok := quantity.ParseUnit(y.Unit); ok {
						y.rescale(o.Factor / u.Factor)
						y.Unit = c.Unit
					}
				}
			}
		}
		if slope < 0.6 || slope > 1.6 {
			c.problem(fmt.Sprintf("reads %.2f times the change of speed", slope))
			c.Confidence *= 0.7
		}
	}
}

func rescaleByName(set *Set, name string, f float64, unit string) {
	for i := range set.Channels {
		if c := &set.Channels[i]; c.Name == name {
			c.rescale(f)
			c.Unit = unit
			return
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
